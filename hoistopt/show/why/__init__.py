"""What holds a cycle time: as a table and marked in the time-way diagram."""
