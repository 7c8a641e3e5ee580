//! pedal.
