//! A look that found nothing, noted from where the answer and the next test name the place.

use crate::driver::{Window, click, sample, shows, type_into, window};
use pinchpoint::reading::{Entry, Inspection};

fn looks(window: &Window) -> Vec<Inspection> {
    let log = &window.state().model().job.log;
    log.iter()
        .filter_map(|entry| match entry {
            Entry::Inspection(look) => Some(look.clone()),
            Entry::Reading(_) | Entry::Repair(_) => None,
        })
        .collect()
}

fn top(window: &Window) -> f64 {
    let answer = window.state().model().answer.as_ref().expect("an answer");
    let w7 = answer
        .findings
        .suspects
        .iter()
        .find(|s| s.site.part == "W7");
    w7.map_or(0.0, |suspect| suspect.probability)
}

#[test]
fn what_the_next_test_wants_opened_is_noted_as_looked_at() {
    let mut window = window(sample(), [1440.0, 900.0]);
    let before = top(&window);
    click(&mut window, "Nothing found there");
    // The place is filled in; that it was looked at is only noted when it is said.
    assert!(looks(&window).is_empty() && shows(&window, "Looked at, nothing found"));
    click(&mut window, "Note it");
    let noted = looks(&window);
    assert_eq!(noted.len(), 1);
    assert_eq!(noted[0].part, "W7");
    let (from, to) = noted[0].metres.expect("a piece of W7");
    assert!(from < to && to <= 2.4, "{from} {to}");
    assert!(top(&window) < before, "{} {before}", top(&window));
    assert!(shows(&window, "nothing found"));
}

#[test]
fn a_piece_is_typed_from_the_end_that_is_named() {
    let mut window = window(sample(), [1440.0, 900.0]);
    click(&mut window, "Note a look that found nothing");
    type_into(&mut window, "Part, wire or bundle that was looked at", "w7");
    type_into(&mut window, "From, metres", "0,2");
    type_into(&mut window, "To, metres", "0.7");
    click(&mut window, "Metres from X3 pin 1");
    click(&mut window, "Note it");
    let noted = looks(&window);
    let [look] = &noted[..] else {
        panic!("{noted:?}");
    };
    let (from, to) = look.metres.expect("a piece");
    // Of 2.4 m, counted from the far end.
    assert!(
        (from - 1.7).abs() < 1e-9 && (to - 2.2).abs() < 1e-9,
        "{from} {to}"
    );
}
