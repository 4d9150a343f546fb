//! The whole window, driven as a person or a screen reader drives it: by the names of its controls, without display
//! or GPU.
#![cfg(feature = "gui")]

mod bench;
mod drafts;
mod drawn;
mod driver;
mod front;
mod job;
mod kinds;
mod limits;
mod lines;
mod looked;
mod notebook;
mod notices;
mod practice;
mod reach;
mod shapes;
mod sketch;
mod sure;
mod tags;
