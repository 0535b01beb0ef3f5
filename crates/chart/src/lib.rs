//! Series and diagrams to SVG text that CSS themes and that reads without script.
