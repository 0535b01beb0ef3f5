//! Newtypes over SI numbers: what a figure measures, in which unit it was written, and how it is shown.
