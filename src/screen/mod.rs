//! screen.
