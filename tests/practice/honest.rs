//! What practice counts and shows is what a trainee reasons about: half of a chain gone by a reading in its middle, no
//! negative zero, a clock that adds up, a display like a meter's.

use pinchpoint::{
    circuit::Point,
    diagnosis::diagnose,
    explain::names::shown,
    fault::{FaultKind, Site},
    practice::{
        Debrief, Drill, Exercise, Hidden, Level, Move, Session, World, belief::Belief,
        score::reckoning, split,
    },
    quantity::format::clock,
    reading::{Kind, Meter, State},
};

fn volts(point: &str) -> Move {
    Move::Read {
        kind: Kind::Volts,
        red: point.parse().expect("a point"),
        black: Point::battery_negative(),
    }
}

fn known(session: &Session) -> Belief {
    Belief::of(&session.exercise().circuit, &diagnose(&session.question()))
}

fn looked_back(exercise: Exercise, moves: &[Move]) -> Debrief {
    let mut session = Session::start(exercise).expect("it can be done");
    for done in moves {
        session.make(done.clone()).expect("can be done");
    }
    Debrief::of(&session).expect("it could be started")
}

/// Common practice, no source: of a chain whose ends are known, a reading in the middle leaves half. Wires, the pins
/// between them and the sensor are the places; where their number is odd the halves differ by one, a place at the
/// joint is in both, and of the places that are left because two faults may be there together one or two count.
#[test]
fn a_reading_in_the_middle_of_a_plain_chain_leaves_half() {
    for (level, wires) in [(Level::First, 4), (Level::Everyday, 8), (Level::Hard, 14)] {
        for seed in [7, 11] {
            let exercise = Drill::SplitHalf.exercise(level, seed);
            assert_eq!(exercise.circuit.wires.len(), wires);
            let middle = format!("C{}.1n", wires / 2);
            let mut session = Session::start(exercise).expect("it can be done");
            let before = known(&session);
            session.make(volts(&middle)).expect("can be read");
            let after = known(&session);
            let (was, left) = (before.left(), after.left());
            let named = format!("level {level:?}, seed {seed}: {was} to {left}");
            assert!(was <= 2 * wires, "{named}");
            assert!(2 * left <= was + 5 && left >= 2, "{named}");
            let bits = before.bits() - after.bits();
            assert!((0.75..1.25).contains(&bits), "{named}: {bits} bits");
        }
    }
}

#[test]
fn the_complaint_fits_the_vehicle() {
    for level in Level::ALL {
        for seed in 0..40 {
            let story = Drill::SplitHalf.exercise(level, seed).story;
            for many in ["sensors", "gauges", "everything"] {
                assert!(!story.contains(many), "one sensor: {story}");
            }
        }
    }
}

#[test]
fn a_certain_place_leaves_no_bits_and_no_sign() {
    // One suspect is no doubt (Shannon 1948).
    assert_eq!(format!("{:.1}", split::bits(&[1.0])), "0.0");
    assert_eq!(format!("{:.1}", split::bits(&[0.3, 0.0])), "0.0");
    assert_eq!(format!("{:.1}", split::bits(&[])), "0.0");
}

#[test]
fn the_clock_of_the_advice_ends_with_its_proof() {
    let mut exercise = Drill::SplitHalf.exercise(Level::First, 7);
    exercise.hidden = vec![Hidden::new(Site::part("W3"), FaultKind::Open, 1.0)];
    let open = Move::Open {
        site: Site::part("W3"),
        metres: None,
        reach: None,
    };
    let moves = [
        volts("C2.1n"),
        volts("C2.1n"),
        open,
        volts("C3.1n"),
        Move::HandOver,
    ];
    let debrief = looked_back(exercise, &moves);
    let last = debrief.path.steps.last().expect("the advice finds it");
    assert!(last.words.contains("prove it"), "{}", last.words);
    assert!((last.minutes - debrief.path.minutes).abs() < 1e-9);
    assert!(debrief.others.iter().all(|(_, played)| played.tests > 0));
    // The score is reckoned up in words.
    let text = reckoning(&debrief);
    let pace = (100.0 * debrief.par() / debrief.minutes).min(100.0);
    assert!(text.contains(&format!("{pace:.0} for the pace")), "{text}");
    assert!(text.contains("4 off for 1 remark"), "{text}");
    assert!(text.contains(&clock(debrief.minutes)), "{text}");
    assert_eq!(debrief.score, (pace - 4.0).round() as u32, "{text}");
}

#[test]
fn a_display_keeps_the_digits_of_its_range() {
    // The usual meter of this program: 0.6 V in steps of 0.1 mV, 6 V in steps of 1 mV.
    let mut exercise = Drill::SplitHalf.exercise(Level::First, 7);
    exercise.hidden = vec![Hidden::new(Site::part("W1"), FaultKind::Open, 1.0)];
    let meter = Meter::default();
    let mut world = World::draw(&exercise.circuit, &exercise.hidden, &meter, 3).expect("drawn");
    let mut read = |point: &str| {
        let red = point.parse().expect("a point");
        let black = Point::battery_negative();
        let reading = world.reading(Kind::Volts, &red, &black, &State::default());
        shown(&reading.expect("can be read"))
    };
    for _ in 0..12 {
        let dead = read("C2.1n");
        let right = read("M1.feed");
        assert!(
            dead.ends_with(" mV") && !dead.starts_with("-0.0 "),
            "{dead}"
        );
        assert_eq!(
            dead.split(['.', ' ']).nth(1).map(str::len),
            Some(1),
            "{dead}"
        );
        assert!(right.ends_with(" V"), "{right}");
        assert_eq!(
            right.split(['.', ' ']).nth(1).map(str::len),
            Some(3),
            "{right}"
        );
    }
}
