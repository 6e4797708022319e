"""When to look, what it should read, how far it carries.

composition.py  heat properties of food from what it is made of
air.py          vapour at a wet surface, wet bulb, boiling at altitude
shape.py        how round a piece is: the shape exponent, by table
mesh.py         finite volumes over half the smallest dimension, as modes
constant.py     constant surroundings: exact in time
"""
