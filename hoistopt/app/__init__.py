"""What a user can ask for: a function each, data in and an answer out.

Nothing here prints, parses words of a command line or ends a process: a command, a page
and a notebook call the same functions. A line is given as a problem or its file, moves as
a schedule or their file; errors are :class:`~hoistopt.base.errors.InputError` and
:class:`~hoistopt.checker.Refused`.
"""
