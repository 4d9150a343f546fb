//! Weighing faults by the readings.
