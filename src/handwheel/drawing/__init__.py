"""Drawings to scale: the section of a feature with its depths, and the places of a pattern of holes.

    shapes      what a drawing is made of, in mm      known     sizes of an operation, with the name of each
    holes, turned, milled, pattern   one kind of feature each, from a resolved operation
    make        which drawings an operation has       layout    what text and SVG share: labels in a row each
    text, svg   the two ways to show them             figures   large plain figures, for the far view

A drawing is made once, in mm, and drawn as signs or as SVG. It computes no size of the part: every number
on it is a value of the operation, and where one is missing the drawing says so and leaves it out.
"""
