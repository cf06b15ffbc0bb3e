"""The pictures of all loadings in the documentation: ``python tests/bass/loading_pictures.py``.

They are set like the plan, in its typeface, whatever the machine has.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
DPI = 160.0
SHEET = '#set page(width: auto, height: auto, margin: 3mm)\n#image("sketch.svg")\n'


def png(svg: str) -> bytes:
    """An SVG picture in the plan's typeface as PNG."""
    import typst
    from font_source_sans_pro import font_directory

    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "sketch.svg").write_text(svg, encoding="utf-8")
        Path(folder, "sheet.typ").write_text(SHEET, encoding="utf-8")
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False,
                            font_paths=[font_directory])
        made = typst.compile(str(Path(folder, "sheet.typ")), root=folder, font_paths=fonts,
                             ignore_system_fonts=True, format="png", ppi=DPI)
    assert isinstance(made, bytes)
    return made


def main(folder: Path) -> None:
    """Write the picture of every loading, from the invented chambers of the tests."""
    sys.path.insert(0, str(ROOT / "tests"))
    from bass.boxes import NEED
    from bass.test_compositions import PARTS, loaded
    from speakerwright.bass.sketch import sketch
    from speakerwright.bass.stage import chamber

    for loading in PARTS:
        picture = png(str(sketch(chamber(loaded(loading), NEED))))
        (folder / f"loading-{loading}.png").write_bytes(picture)


if __name__ == "__main__":
    main(ROOT / "docs" / "pictures")
