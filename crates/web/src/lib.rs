//! The pages: one folder each, drawn on the server, complete without script.
