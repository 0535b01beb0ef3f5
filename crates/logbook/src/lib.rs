//! The append-only record on SQLite: entries, canonical form, chain and seal, import, export, verify.
