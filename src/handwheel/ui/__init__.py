"""The screens: they print views and pass answers, and know no arithmetic of the trade.

    rows        text in roles, wrapped to a width        looks     colours and signs of a terminal
    digits      large digits                             keys      one name for each key
    commands    what a key does, declared once           entry     the field that is typed into
    pages       what every page can do; lists, menus     operation, jobs   the two pages that matter
    drawn, lists   views turned into rows, pure
    app, paper, terminal, compat   the only modules that know Textual

A page is a plain object, and the app holds a stack of them on one widget. Textual's own screens open
some milliseconds after they are asked for, so that a digit typed right behind the menu key would land
on the page below it; here the next key goes to the page that the last one opened.
"""
