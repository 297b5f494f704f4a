"""What a run of the bench shows.

`measured.py`: runs of one case together. `targets.py`: what is to be reached. `report.py`,
`profile.py`: tables and profile.
"""
