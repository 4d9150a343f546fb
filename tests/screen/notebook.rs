//! The notebook page: a folder is chosen, searched, opened from and learnt from; several jobs stay open. That leaving a
//! vehicle with a plug off must be asked about is common practice, no source.

use std::{fs, path::Path};

use eframe::egui::{Context, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use pinchpoint::{
    app::{NotebookCommand, Screen, model::Page},
    notebook::{Job, read_job, record::Work, write_job},
    quantity::units::{as_minutes, minutes},
};

use crate::driver::{
    Window, click, name_with, press, sample, save_at, settle, shows, type_into, window,
};

fn job(title: &str, vehicle: &str) -> Job {
    Job {
        title: title.to_owned(),
        vehicle: vehicle.to_owned(),
        ..sample()
    }
}

/// Three jobs, one of which took 14 minutes to reach C2, and a file that is torn.
fn folder_of_jobs(folder: &Path) {
    let mut reached = job("CT-4471 ride height", "Corran Tender 2.2");
    reached.record.date = "2031-04-02".into();
    reached.record.work = vec![Work {
        what: "Liner off".into(),
        took: minutes(14.0),
        billable: true,
        relation: Default::default(),
        reached: "C2".into(),
        by: String::new(),
    }];
    write_job(&folder.join("a.ron"), &reached).expect("saved");
    write_job(
        &folder.join("b.ron"),
        &job("CT-4490 crane boom dead", "Merrow Lift 40"),
    )
    .expect("saved");
    let mut apart = job("CT-4502 winch creeps", "Merrow Lift 40");
    apart.now.unplugged.insert("C2".into());
    write_job(&folder.join("c.ron"), &apart).expect("saved");
    fs::write(folder.join("torn.ron"), "(format: \"pinchpoint\", vers").expect("written");
}

/// The notebook page on a folder, chosen by typing its path and pressing Enter.
fn on_the_page(folder: &Path) -> Window {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "Page Notebook");
    click(&mut harness, "Choose the folder");
    harness
        .get_by_label("Path of the folder")
        .type_text(&folder.display().to_string());
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    settle(&mut harness);
    harness
}

fn click_with(harness: &mut Window, part: &str) {
    let name = name_with(harness, part).expect(part);
    click(harness, &name);
}

#[test]
fn jobs_are_listed_searched_and_opened_and_what_cannot_be_read_is_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    folder_of_jobs(folder.path());
    let mut harness = on_the_page(folder.path());
    assert!(shows(&harness, "3 jobs"));
    assert!(shows(&harness, "Cannot be read: torn.ron"));
    assert!(shows(&harness, "Job CT-4502 winch creeps, Merrow Lift 40"));
    // A slip of the pen.
    type_into(&mut harness, "Search the jobs", "crnae");
    assert!(shows(&harness, "1 of 3 jobs"));
    assert!(!shows(&harness, "winch creeps"));
    assert!(shows(&harness, "Cannot be read: torn.ron"), "never hidden");
    type_into(&mut harness, "Search the jobs", " is:lost");
    assert!(shows(&harness, "is:lost is no filter"));
    let words = "crnae is:lost".len();
    harness.get_by_label("Search the jobs").focus();
    for _ in 0..words {
        press(&mut harness, Key::Backspace);
    }
    click(&mut harness, "Something unplugged");
    assert!(shows(&harness, "1 of 3 jobs"));
    click_with(&mut harness, "Job CT-4502");
    click(&mut harness, "Open the chosen job");
    let model = harness.state().model();
    assert_eq!(model.job.title, "CT-4502 winch creeps");
    assert_eq!(
        model.path.as_deref(),
        Some(folder.path().join("c.ron").as_path())
    );
}

#[test]
fn a_job_begins_on_an_earlier_circuit_and_learnt_minutes_are_taken_over() {
    let folder = tempfile::tempdir().expect("a folder");
    folder_of_jobs(folder.path());
    let mut harness = on_the_page(folder.path());
    assert!(shows(&harness, "Learnt on Corran Tender 2.2"));
    assert!(shows(&harness, "from 1 job"));
    click(&mut harness, "Take over the minutes of C2");
    let access = |harness: &Window| {
        let connectors = &harness.state().model().job.circuit.connectors;
        let c2 = connectors.iter().find(|connector| connector.id == "C2");
        as_minutes(c2.expect("drawn").access)
    };
    assert_eq!(access(&harness), 14.0);
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Take over minutes from past jobs")
    );
    click_with(&mut harness, "Job CT-4471");
    click(&mut harness, "New job on this circuit");
    let model = harness.state().model();
    assert!(model.job.log.is_empty() && model.path.is_none() && model.job.title.is_empty());
    assert_eq!(model.job.vehicle, "Corran Tender 2.2");
    assert_eq!(access(&harness), 14.0);
}

#[test]
fn learnt_minutes_are_offered_where_a_connector_is_described_and_a_new_feed_begins() {
    let folder = tempfile::tempdir().expect("a folder");
    folder_of_jobs(folder.path());
    let mut own = sample();
    own.vehicle = "Corran  tender 2.2".into();
    let mut harness = window(own, [1440.0, 2000.0]);
    // The page of the notebook is never opened; its folder is known from earlier.
    harness.state_mut().carry_out(
        &Context::default(),
        NotebookCommand::SetFolder(folder.path().into()).into(),
    );
    settle(&mut harness);
    assert!(
        harness.state().model().notebook.listing.is_none(),
        "nothing asked for it"
    );
    harness.state_mut().carry_out(
        &Context::default(),
        Screen::SelectPart(Some("C2".into())).into(),
    );
    settle(&mut harness);
    settle(&mut harness);
    assert!(shows(
        &harness,
        "Past jobs took 14 min to reach it (from 1 job)"
    ));
    click(&mut harness, "Take over the minutes of C2");
    let model = harness.state().model();
    let mut connectors = model.job.circuit.connectors.iter();
    let c2 = connectors
        .find(|connector| connector.id == "C2")
        .expect("drawn");
    assert_eq!(as_minutes(c2.access), 14.0);
    assert!(
        !shows(&harness, "Take over the minutes of C2"),
        "it is taken over"
    );
    // A connector that no job has reached says nothing.
    harness.state_mut().carry_out(
        &Context::default(),
        Screen::SelectPart(Some("C1".into())).into(),
    );
    settle(&mut harness);
    assert!(!shows(&harness, "Past jobs took"));
    // The same at a new feed.
    click(&mut harness, "New feed");
    assert!(shows(&harness, "from 1 job, minutes to 1 connector learnt"));
    assert!(shows(&harness, "from 2 jobs"));
    click(&mut harness, "Begin on the circuit of Corran Tender 2.2");
    settle(&mut harness);
    let model = harness.state().model();
    assert_eq!(model.job.vehicle, "Corran Tender 2.2");
    assert!(model.job.log.is_empty() && model.path.is_none());
    assert!(shows(
        &harness,
        "the minutes to one connector as one past job took them"
    ));
}

#[test]
fn several_jobs_stay_open_and_a_plug_that_is_off_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    folder_of_jobs(folder.path());
    let mut harness = on_the_page(folder.path());
    click_with(&mut harness, "Job CT-4502");
    click(&mut harness, "Open the chosen job");
    assert_eq!(harness.state().model().page, Page::Bench, "one sees it");
    click(&mut harness, "Page Notebook");
    click_with(&mut harness, "Job CT-4490");
    click(&mut harness, "Open the chosen job");
    assert!(shows(&harness, "Reconnect before you leave?"));
    click(&mut harness, "Leave as they are");
    assert_eq!(harness.state().model().job.title, "CT-4490 crane boom dead");
    assert!(shows(&harness, "On the bench: Merrow Lift 40, CT-4490"));
    assert!(shows(
        &harness,
        "Go to: Merrow Lift 40, CT-4502 winch creeps (1 not plugged)"
    ));
    click_with(&mut harness, "Go to: Merrow Lift 40, CT-4502");
    let model = harness.state().model();
    assert_eq!(model.job.title, "CT-4502 winch creeps");
    assert!(model.job.now.unplugged.contains("C2"));
    click(&mut harness, "Close the job on the bench");
    click(&mut harness, "All plugged again");
    assert!(shows(&harness, "Save the changes first?"));
    // The row of tools has a button of that name, too.
    let last = harness.query_all_by_label("Save").last();
    last.expect("a button").click();
    settle(&mut harness);
    assert_eq!(harness.state().model().job.title, "CT-4490 crane boom dead");
    assert!(!shows(&harness, "Go to:"));
    let saved = read_job(&folder.path().join("c.ron")).expect("saved").job;
    assert!(saved.now.unplugged.is_empty());
}

#[test]
fn a_job_is_packed_and_taken_into_another_notebook() {
    let folder = tempfile::tempdir().expect("a folder");
    folder_of_jobs(folder.path());
    let other = tempfile::tempdir().expect("a folder");
    let mut harness = on_the_page(folder.path());
    click_with(&mut harness, "Job CT-4490");
    click(&mut harness, "Pack the chosen job");
    let proposed = harness.get_by_label("Path of the packed job").value();
    assert_eq!(
        proposed,
        Some(folder.path().join("b.zip").display().to_string())
    );
    press(&mut harness, Key::Enter);
    assert!(shows(&harness, "packed as"));
    let mut harness = on_the_page(other.path());
    assert!(shows(&harness, "No job lies in this folder yet"));
    click(&mut harness, "Import a job");
    harness
        .get_by_label("Path of the job to import")
        .type_text(&folder.path().join("b.zip").display().to_string());
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert!(shows(&harness, "Job CT-4490 crane boom dead"));
    let there = read_job(&other.path().join("b.ron")).expect("there").job;
    assert_eq!(
        there,
        read_job(&folder.path().join("b.ron")).expect("there").job
    );
}

#[test]
fn ten_thousand_jobs_are_drawn_as_quickly_as_ten() {
    // Only what is in sight has rows: a screen reader finds no more of them than fit.
    let folder = tempfile::tempdir().expect("a folder");
    let text = fs::read({
        let path = folder.path().join("0.ron");
        write_job(&path, &Job::default()).expect("saved");
        path
    })
    .expect("there");
    for number in 1..400 {
        fs::write(folder.path().join(format!("{number}.ron")), &text).expect("written");
    }
    let harness = on_the_page(folder.path());
    assert!(shows(&harness, "400 jobs"));
    let rows = harness
        .query_all_by_label_contains("Job Job without a title")
        .count();
    assert!((10..60).contains(&rows), "{rows}");
}

#[test]
fn a_relative_path_is_shown_as_the_absolute_one_and_enter_saves() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    settle(&mut harness);
    assert!(shows(&harness, "That is /"));
    let file = folder.path().join("tender.ron");
    save_at(&mut harness, &file);
    assert_eq!(read_job(&file).expect("saved").job.title, sample().title);
}
