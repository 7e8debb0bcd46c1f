"""How a figure is drawn, touched and taken along: plain data, which Bokeh draws on the page and matplotlib or R elsewhere."""
