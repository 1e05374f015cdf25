"""The page: a small server for one's own machine, and what the browser shows.

The server reads requests, hands the work to other processes and sends what they answer. It holds no rule of
its own, keeps nothing between requests but builds, and asks nothing of any other machine.
"""
