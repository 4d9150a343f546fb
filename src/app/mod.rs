//! Headless state of the window.
