//! Nodal analysis on conductances; knows indices, not parts.
