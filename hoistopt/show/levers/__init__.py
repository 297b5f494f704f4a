"""What each limit of a line would gain by giving way: as data, as tables, in words."""
