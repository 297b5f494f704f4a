"""What every room may use; nothing here knows a line, a schedule or a solver.

Errors and effort:

- `errors.py`: the errors that a user can cause, and the one way they are worded.
- `expected.py`: what is given from Python, refused where it is of another kind.
- `effort.py`: what a search may take (time limit, threads, seed), how it is stopped, and what it
  tells meanwhile. `clock.py`: an effort under way, and what is left of it.
- `memory.py`: how much memory there is to work with.
- `extras.py`: libraries that an extra installs, named in one error where they are missing.
- `lazy.py`: public names that are loaded when first used. `notebook.py`: how answers show
  themselves in a notebook.

Numbers and words as users write them:

- `numbers/`: exact numbers; times, paces, changes and shares as people write and read them.
- `names.py`: what signs a name may have. `text.py`: the text of a file, JSON, parts of a
  sentence, the caution.

Files and tables:

- `files.py`: files written whole, several of them together or not at all.
- `encodings.py`: tables in whatever encoding spreadsheets save. `separated.py`: tables with commas,
  semicolons or tabs. `cells.py`: the one guard against cells that a spreadsheet would run.
- `workbook/`: spreadsheets, read safely and written for people.
"""
