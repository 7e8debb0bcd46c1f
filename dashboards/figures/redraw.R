# Redraw a figure of Tautleaf from the CSV that was taken with it. Needs R with ggplot2; nothing else.
#
#     Rscript redraw.R figure.csv figure.png      (or .svg with svglite, .pdf)
#
# Each row of the CSV is one thing that was drawn: a `mark`, a `line` from (x, y) to (x_end, y_end), a `block` between them, a point
# of a `model` line (dashed; points of one `piece` are joined), a `word`, or a tick of an axis (`x_tick`, `y_tick`) in one panel; or the
# `heading` and the `note` of the whole figure. Potentials and differences are in MPa, rain in mm. A mark with `is_bound` was never
# reached by the chamber: the plant is at least as dry as that, which the arrow says.
library(ggplot2)

given <- commandArgs(trailingOnly = TRUE)
if (length(given) != 2) stop("usage: Rscript redraw.R figure.csv figure.png", call. = FALSE)
drawn <- read.csv(given[1], fileEncoding = "UTF-8-BOM", encoding = "UTF-8", stringsAsFactors = FALSE)
# Without the apostrophe that keeps spreadsheet programs from running a text as a formula.
drawn[] <- lapply(drawn, function(column) if (is.character(column)) sub("^'", "", column) else column)
said <- drawn[drawn$panel == "", ]
drawn <- drawn[drawn$panel != "", ]
drawn$panel <- factor(drawn$panel, levels = unique(drawn$panel), labels = drawn$title[!duplicated(drawn$panel)])
drawn$is_bound <- drawn$is_bound %in% c("true", "TRUE", TRUE)
# An axis that runs downwards (rain hangs) is drawn with its sign turned; its ticks keep their words.
hangs <- with(drawn[drawn$layer == "range", ], panel[y > y_end])
drawn[drawn$panel %in% hangs, c("y", "y_end")] <- -drawn[drawn$panel %in% hangs, c("y", "y_end")]
of <- function(layer) drawn[drawn$layer == layer, ]

ink <- "#1e1f1b"
shapes <- c(triangle = 24, inverted_triangle = 25, diamond = 23, circle = 21, dash = 95, x = 4)
marks <- of("mark")
marks$fill <- ifelse(marks$is_bound, NA, marks$colour)
ranges <- of("range")
bounds <- marks[marks$is_bound, ]
reach <- abs(ranges$y[match(bounds$panel, ranges$panel)]) * ifelse(bounds$place == "beside", 0.05, 0.15)
ticks <- of("y_tick")
is_beside <- drawn$place[1] == "beside"
note <- paste(strwrap(said$says[said$layer == "note"], 140), collapse = "\n")

picture <- ggplot() +
  geom_blank(data = ranges, aes(x = x, y = y)) +
  geom_blank(data = ranges, aes(x = x_end, y = y_end)) +
  geom_hline(data = ticks, aes(yintercept = y), colour = "#d9d7cc", linewidth = 0.3) +
  geom_rect(data = of("block"), aes(xmin = x, xmax = x_end, ymin = y, ymax = y_end, fill = colour, alpha = opacity)) +
  geom_path(data = of("model"), aes(x = x, y = y, group = piece, colour = colour, linewidth = size / 3), linetype = "dashed") +
  geom_segment(data = of("line"), aes(x = x, y = y, xend = x_end, yend = y_end, colour = colour, linewidth = size / 3)) +
  geom_segment(
    data = bounds, aes(x = x, y = y, xend = x, yend = y - reach, colour = colour),
    arrow = arrow(length = unit(1.5, "mm")), linewidth = 0.3
  ) +
  geom_point(
    data = marks, aes(x = x, y = y, shape = shapes[shape], size = size / 4, colour = colour, fill = fill, alpha = opacity)
  ) +
  geom_text(data = of("word"), aes(x = x, y = y, label = says), size = 2.8, colour = ink) +
  geom_text(data = of("x_tick"), aes(x = x, y = -Inf, label = says), vjust = 1.3, size = 2.8, lineheight = 0.9, colour = ink) +
  scale_shape_identity() + scale_size_identity() + scale_colour_identity() + scale_fill_identity(na.value = NA) +
  scale_alpha_identity() + scale_linewidth_identity() +
  facet_wrap(~panel, nrow = if (is_beside) 1, ncol = if (is_beside) NULL else 1, scales = "free") +
  scale_x_continuous(breaks = NULL, expand = c(0, 0)) +
  scale_y_continuous(breaks = function(limits) {
    # The ticks of the panel that has these limits.
    here <- ranges$panel[which.min(abs(ranges$y - limits[1]) + abs(ranges$y_end - limits[2]))]
    ticks$y[ticks$panel == here]
  }, labels = function(breaks) ticks$says[match(breaks, ticks$y)], expand = c(0, 0)) +
  coord_cartesian(clip = "off") +
  labs(x = NULL, y = NULL, title = said$says[said$layer == "heading"], caption = note) +
  theme_minimal(base_size = 9) +
  theme(
    panel.grid = element_blank(), strip.text = element_text(face = "bold", hjust = 0, colour = ink),
    plot.title = element_text(size = 13, colour = ink), plot.caption = element_text(hjust = 0, colour = ink, margin = margin(t = 9, unit = "mm")),
    plot.title.position = "plot", plot.caption.position = "plot",
    panel.spacing.y = unit(10, "mm"), plot.margin = margin(2, 4, 2, 2, "mm")
  )

panels <- nlevels(drawn$panel)
width <- if (is_beside) max(5, 2.6 * panels) else 9
height <- if (is_beside) 5 else max(3, 1.9 * panels)
ggsave(given[2], picture, width = width, height = height, dpi = 200, bg = "white")
