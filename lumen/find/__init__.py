"""What would meet the wishes: places, lamps and levels, searched and then studied anew.

::

    Engine --Guide--> many candidates --Judge--> a few, by the study itself --> plans, relaxations
"""
