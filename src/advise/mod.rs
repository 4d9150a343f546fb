//! The next test.
