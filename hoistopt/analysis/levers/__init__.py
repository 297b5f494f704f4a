"""What each limit of the line would gain by giving way."""
