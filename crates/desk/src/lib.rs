//! One function per question a person asks, returning plain values for page, terminal and report.
