"""Puts the pages of docs/ that the workbench's help shows into the package when it is built."""

from pathlib import Path
from shutil import copyfile

from setuptools import setup
from setuptools.command.build_py import build_py

HERE = Path(__file__).parent


class WithDocs(build_py):
    """The package's modules, and beside the workbench the docs, from their one copy."""

    def run(self) -> None:
        """Build as usual, then copy the docs."""
        super().run()
        if self.editable_mode:  # the source tree's own docs are read
            return
        place = Path(self.build_lib) / "speakerwright" / "workbench" / "docs"
        place.mkdir(parents=True, exist_ok=True)
        for page in sorted((HERE / "docs").glob("*.md")):
            copyfile(page, place / page.name)


setup(cmdclass={"build_py": WithDocs})
