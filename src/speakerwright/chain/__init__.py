"""One design snapshot in, every stage's result out: who reads what, and what is kept.

Results flow drivers -> brief -> sizes -> bass -> cabinet -> cutting -> plan. One loop is allowed
and lives here: `settle` finds a free size of the cabinet together with the port's length. Each
result is kept in one bounded memo under a key made of digests of what it rests on; nothing hashes
or compares an array. What only some designs need (solids, layouts) is imported when needed.
"""

from speakerwright.chain.flow import Workup, need_of, work
from speakerwright.chain.memo import MEMO, Memo
from speakerwright.chain.output import chapters, cut_files, plan_made, plan_pdf, plan_request
from speakerwright.chain.sizing import seat_of, settle

__all__ = [
    "MEMO", "Memo", "Workup", "chapters", "cut_files", "need_of", "plan_made", "plan_pdf",
    "plan_request", "seat_of", "settle", "work",
]
