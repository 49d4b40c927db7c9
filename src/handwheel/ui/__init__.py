"""The screens: they print views and pass answers, and know no arithmetic of the trade.

    rows        text in roles, wrapped to a width        looks     colours and signs of a terminal
    digits      large digits                             keys      one name for each key
    entry       the field that is typed into             start     the way in
    drawn, lists   views turned into rows, pure          desk      the stack of pages, and what they ask
    pages       what every page can do; text, lists, words
    operation, errands, jobs   the screen that matters, the pages it opens, and the list of jobs
    lookup      one typed line and what the tables say to it; opened by one key on any page
    sketch, far   the drawing on a page and beside the live item; the number to be read from afar
    app, paper, compat   the only modules that know Textual

What a key does stands in `handwheel.commands`, which line mode reads as well.

A page is a plain object, and the desk holds a stack of them on one widget. Textual's own screens open
some milliseconds after they are asked for, so that a digit typed right behind the menu key would land
on the page below it; here the next key goes to the page that the last one opened.
"""
