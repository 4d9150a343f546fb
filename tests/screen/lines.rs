//! Lines of the log that are corrected, and lines of words that have no room.

use crate::{
    driver::{Window, click, name_with, sample, settle, type_into, window},
    shapes::written_at,
};
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    circuit::quick_feed,
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Reading},
};

#[test]
fn of_many_connectors_the_ones_in_play_are_shown_and_others_are_looked_for() {
    let mut job = Job {
        circuit: quick_feed(volts(5.0), 12, true, false),
        ..Job::default()
    };
    let reading = |unplugged: &str| {
        let mut reading = Reading::volts("M1.feed".parse().unwrap(), 4.9);
        reading.state.unplugged.insert(unplugged.to_owned());
        Entry::Reading(reading)
    };
    job.log = vec![reading("X7"), reading("X9")];
    let mut harness = window(job, [1440.0, 900.0]);
    let line = name_with(&harness, "Line 2: ").unwrap();
    click(&mut harness, &line);
    let more = name_with(&harness, "State, moved, note").unwrap();
    click(&mut harness, &more);
    let buttons = |harness: &Window| {
        let asked = ["was plugged", "was unplugged", "is not known"];
        let of = |end: &&str| harness.query_all_by_label_contains(end).count();
        asked.iter().map(of).sum::<usize>()
    };
    assert!(buttons(&harness) <= 4, "{}", buttons(&harness));
    harness.get_by_label("X7 was plugged");
    click(&mut harness, "X9 was unplugged");
    click(&mut harness, "X9 is not known");
    harness.get_by_label("X9 was plugged");
    type_into(&mut harness, "Look for a connector", "x11");
    click(&mut harness, "X11 was plugged");
    click(&mut harness, "Correct the line");
    let Entry::Reading(reading) = &harness.state().model().job.log[1] else {
        panic!("not a reading");
    };
    let unplugged: Vec<&String> = reading.state.unplugged.iter().collect();
    assert_eq!(unplugged, ["X11"]);
}

#[test]
fn a_line_that_was_cut_is_told_in_full_when_it_is_pressed() {
    let mut harness = window(sample(), [1280.0, 800.0]);
    let height = |harness: &Window| {
        let line = harness.get_by_label_contains("M1 cannot be accused yet");
        line.rect().height()
    };
    let cut = height(&harness);
    harness
        .get_by_label_contains("M1 cannot be accused yet")
        .click();
    settle(&mut harness);
    assert!(height(&harness) > 1.5 * cut, "{cut}");
}

/// At 1280 points the words of the log are whole, and its heads stand over its columns.
#[test]
fn the_words_of_the_log_are_whole_on_a_small_laptop() {
    let harness = window(sample(), [1280.0, 800.0]);
    for word in ["C2 unplugged", "C2 pin 1, far side", "plug state", "reads"] {
        assert!(written_at(&harness, word).is_some(), "{word} is cut");
    }
    let right = |word: &str| written_at(&harness, word).unwrap().right();
    let (head, figure) = (right("reads"), right("663 mV"));
    assert!((head - figure).abs() < 2.0, "{head} over {figure}");
    assert!(written_at(&harness, "weight").is_none());
    let wide = window(sample(), [1440.0, 900.0]);
    assert!(written_at(&wide, "weight").is_some());
}
