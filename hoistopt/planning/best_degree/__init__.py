"""The degree with the least mean time per load, looked for within one time limit.

`best_of_degrees.py`: degrees take turns and share what they find. `candidates.py`: which degrees
there are to try. `ranking.py`: which one is searched on at next. `lane.py`: where one degree
stands, and what it shares. `patience.py`: when to end without a limit. `reaching.py`: whether any
degree keeps a pace wished for.
"""
