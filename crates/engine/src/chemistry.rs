//! Chemistry of the bed: one process per file.
