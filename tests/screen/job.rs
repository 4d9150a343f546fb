//! The job page: the record is filled in by the names of its fields, each stay in a field is one step, the proof ticks.

use crate::driver::{click, press, sample, settle, shows, type_into, window};
use eframe::egui::Key;
use pinchpoint::{
    notebook::record::{Mileage, Relation},
    reading::{Entry, Reading, Repair},
};

#[test]
fn the_record_is_filled_in_and_taken_back_step_by_step() {
    let mut harness = window(sample(), [1440.0, 5200.0]);
    click(&mut harness, "Page Job");
    type_into(&mut harness, "Plate", "HL 4471");
    type_into(&mut harness, "Identification number", "1G4AH59H55G118341");
    assert!(shows(&harness, "4 would fit"), "the check digit is doubted");
    type_into(&mut harness, "Mileage", "84 210 km");
    press(&mut harness, Key::Enter);
    click(&mut harness, "Add a code");
    type_into(&mut harness, "Code 1", "P0641-11");
    assert!(shows(&harness, "circuit short to ground"));
    click(&mut harness, "Code 1 after: gone");
    click(&mut harness, "Add a step");
    type_into(&mut harness, "Step 1", "Reach C2");
    click(&mut harness, "Step 1 is loss-related");
    click(&mut harness, "Step 1 is billable");
    let record = harness.state().model().job.record.clone();
    assert_eq!(record.vehicle.plate, "HL 4471");
    assert_eq!(record.vehicle.mileage, Some(Mileage::Kilometres(84_210)));
    assert_eq!(record.codes[0].code, "P0641-11");
    assert_eq!(record.codes[0].after, Some(false));
    assert_eq!(record.work[0].relation, Relation::LossRelated);
    assert!(!record.work[0].billable);
    click(&mut harness, "Remove code 1");
    assert!(harness.state().model().job.record.codes.is_empty());
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Edit the codes")
    );
}

#[test]
fn the_proof_and_the_timeline_stand_on_the_page() {
    let mut job = sample();
    job.log.push(Entry::Repair(Repair {
        part: "W7".into(),
        replaced: false,
        note: "spliced".into(),
    }));
    let feed = "M1.feed".parse().expect("a point");
    job.log.push(Entry::Reading(Reading::volts(feed, 8.92)));
    let mut harness = window(job, [1440.0, 5200.0]);
    click(&mut harness, "Page Job");
    settle(&mut harness);
    assert!(shows(&harness, "Partly proved"));
    assert!(shows(&harness, "M1 feed pin, all plugged: should read"));
    assert!(shows(&harness, "W7 repaired (spliced)"));
    click(&mut harness, "Write the report (PDF)");
    assert!(shows(&harness, "Save the job first"));
}
