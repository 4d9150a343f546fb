//! What is noted with a reading, and kinds of reading beside volts, by the names of the controls.

use eframe::egui::Key;
use pinchpoint::reading::Value;

use crate::{
    driver::{press, sample, shows, type_into, window},
    reach::{WIDE, choose, last},
};

#[test]
fn the_digits_that_were_typed_stay_with_the_reading() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "0.30");
    press(&mut harness, Key::Enter);
    let reading = last(&harness);
    assert_eq!(
        (reading.value, reading.step),
        (Value::Exactly(0.3), Some(0.01))
    );
    assert!(shows(&harness, "0.30 V"));
}
