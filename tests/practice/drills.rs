//! Every drill makes exercises that can be done, the same for the same seed; impossible ones are refused with the reason.

use pinchpoint::{
    circuit::{Circuit, quick_feed},
    fault::{FaultKind, Site},
    practice::{Allowed, Drill, Exercise, Hidden, Level, Session},
    quantity::units::volts,
    reading::Meter,
};

#[test]
fn every_drill_can_be_done_at_every_level() {
    for drill in Drill::ALL {
        for level in Level::ALL {
            for seed in 0..6 {
                let exercise = drill.exercise(level, seed);
                let named = format!("{} {level:?} {seed}", drill.key());
                assert_eq!(exercise.check(), Ok(()), "{named}");
                assert_eq!(exercise, drill.exercise(level, seed), "{named}");
                assert!(!exercise.story.is_empty(), "{named}");
                let faults = if drill == Drill::TwoFaults { 2 } else { 1 };
                assert_eq!(exercise.hidden.len(), faults, "{named}");
                let given = match drill {
                    Drill::WrongReading => 5,
                    Drill::SplitHalf => 2,
                    _ => 0,
                };
                assert_eq!(exercise.given.len(), given, "{named}");
            }
        }
        assert_ne!(
            drill.exercise(Level::Hard, 1),
            drill.exercise(Level::Hard, 2)
        );
    }
}

#[test]
fn a_seed_hides_the_same_fault_in_every_version() {
    // Golden: computed by this program; a trainer's list of seeds stays good. One line for each drill, level and seed.
    let golden = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/golden/seeds.txt");
    let golden = std::fs::read_to_string(golden).expect("the list of seeds");
    let mut hidden = String::new();
    for drill in Drill::ALL {
        for level in Level::ALL {
            for seed in [7, 4711] {
                let exercise = drill.exercise(level, seed);
                hidden += &format!("{} {} {seed}:", drill.key(), level.number());
                for fault in &exercise.hidden {
                    let Hidden {
                        site,
                        kind,
                        size,
                        at,
                    } = fault;
                    hidden += &format!(" {site} {kind:?} {size:.3} at {at:.3};");
                }
                hidden += "\n";
            }
        }
    }
    assert!(hidden == golden, "now it is\n{hidden}");
}

#[test]
fn an_own_circuit_can_be_drilled() {
    let circuit = quick_feed(volts(5.0), 6, true, true);
    for drill in Drill::ALL {
        let exercise = drill.exercise_on(&circuit, &Meter::default(), Level::Everyday, 3);
        let exercise = exercise.unwrap_or_else(|error| panic!("{}: {error}", drill.key()));
        assert!(Session::start(exercise).is_ok());
    }
}

fn refused(exercise: &Exercise, named: &str) {
    let said = exercise.check().expect_err(named).to_string();
    assert!(said.contains(named), "{said}");
    assert!(Session::start(exercise.clone()).is_err());
}

#[test]
fn impossible_exercises_are_refused_with_the_reason() {
    let good = Drill::AccessMinutes.exercise(Level::First, 1);
    let with = |change: &dyn Fn(&mut Exercise)| {
        let mut exercise = good.clone();
        change(&mut exercise);
        exercise
    };
    refused(&with(&|e| e.hidden.clear()), "0 faults are hidden");
    refused(
        &with(&|e| e.hidden = vec![e.hidden[0].clone(); 4]),
        "hide one to 3",
    );
    refused(
        &with(&|e| e.hidden[0].site.part = "W99".to_owned()),
        "W99 is not on the sketch",
    );
    refused(&with(&|e| e.hidden[0].size = -1.0), "its ohms is -1");
    refused(
        &with(&|e| {
            e.allowed = Allowed {
                volts: false,
                ohms: false,
                amperes: false,
                ..Allowed::default()
            };
        }),
        "no kind of reading is allowed",
    );
    refused(
        &with(&|e| e.circuit = Circuit::default()),
        "nothing feeds this circuit",
    );
    // A short of 100 MΩ shows nowhere.
    refused(
        &with(&|e| e.hidden = vec![Hidden::new(Site::part("W2"), FaultKind::ShortToGround, 1e8)]),
        "W2 shows in no test that is allowed",
    );
    let empty = Circuit::default();
    let error = Drill::TwoFaults.exercise_on(&empty, &Meter::default(), Level::First, 1);
    assert!(
        error
            .expect_err("nothing is drawn")
            .to_string()
            .contains("it takes 3 wires")
    );
    let mut small = quick_feed(volts(5.0), 1, false, false);
    small.connectors.truncate(1);
    let error = Drill::WrongReading.exercise_on(&small, &Meter::default(), Level::First, 1);
    assert!(
        error
            .expect_err("one connector")
            .to_string()
            .contains("it takes two connectors")
    );
}
