//! Practice: drills, sessions, the look back, trainees, files, and the terminal.

mod calibration;
mod counts;
mod drills;
mod files;
mod honest;
mod lessons;
mod room;
mod session;
mod terminal;
mod trainees;
mod unfinished;
