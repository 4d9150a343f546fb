//! The job page: the record is filled in by the names of its fields, each stay in a field is one step, the proof ticks.

use crate::{
    driver::{click, press, sample, save_at, settle, shows, type_into, window},
    shapes::shapes,
};
use eframe::egui::{Context, Key, Modifiers, Shape};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use pinchpoint::{
    app::{
        Screen,
        model::{Refusal, Weight},
    },
    notebook::{
        Job, read_job,
        record::{Mileage, Relation},
    },
    quantity::units::volts,
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
    let justified = shapes(&harness).into_iter().find_map(|shape| match shape {
        Shape::Text(text) if text.galley.job.justify => Some(text.galley.text().to_owned()),
        _ => None,
    });
    assert_eq!(justified, None, "pulled apart to fill its line");
    click(&mut harness, "Write the report (PDF)");
    assert!(shows(&harness, "Save the job first"));
}

/// A small picture, half dark, half light.
fn picture(path: &std::path::Path) {
    let file = std::fs::File::create(path).expect("made");
    let mut encoder = png::Encoder::new(file, 40, 20);
    encoder.set_color(png::ColorType::Grayscale);
    let pixels: Vec<u8> = (0..800)
        .map(|n| if n % 40 < 20 { 20 } else { 230 })
        .collect();
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(&pixels).expect("written");
}

#[test]
fn photos_are_added_shown_and_noted_and_what_is_no_photo_says_why() {
    let folder = tempfile::tempdir().expect("a folder");
    picture(&folder.path().join("chafe.png"));
    std::fs::write(folder.path().join("notes.png"), "no picture").expect("written");
    let mut harness = window(sample(), [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    click(&mut harness, "Add photos");
    let add = |harness: &mut crate::driver::Window, name: &str| {
        harness
            .get_by_label("Path of the photo")
            .type_text(&folder.path().join(name).display().to_string());
        settle(harness);
        press(harness, Key::Enter);
        settle(harness);
    };
    // A job that has no file is saved on the way, and what was chosen is not lost over that.
    add(&mut harness, "chafe.png");
    assert!(shows(&harness, "added as soon as that is there"));
    press(&mut harness, Key::Escape);
    assert!(
        harness.state().model().waiting_photos.is_empty(),
        "given up"
    );
    click(&mut harness, "Add photos");
    add(&mut harness, "chafe.png");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    let file = folder.path().join("tender.ron");
    let field = harness.get_by_label("Path to save at");
    field.type_text(&file.display().to_string());
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    settle(&mut harness);
    let model = harness.state().model();
    assert_eq!(model.job.record.attachments.len(), 1);
    assert!(model.notices.is_empty(), "{:?}", model.notices);
    for name in ["notes.png", "chafe.png"] {
        click(&mut harness, "Add photos");
        add(&mut harness, name);
    }
    let photos = harness.state().model().job.record.attachments.clone();
    let names: Vec<&str> = photos.iter().map(|photo| photo.name.as_str()).collect();
    assert_eq!(
        names,
        ["chafe.png", "notes.png"],
        "the same content is kept once"
    );
    settle(&mut harness);
    assert!(shows(&harness, "Photo chafe.png: picture"));
    assert!(shows(&harness, "Photo notes.png: it is no JPEG or PNG"));
    type_into(&mut harness, "Caption of photo 1", "W7 at the sill");
    let record = &harness.state().model().job.record;
    assert_eq!(record.attachments[0].caption, "W7 at the sill");
    assert!(folder.path().join("attachments").exists());
}

#[test]
fn what_was_disturbed_is_written_down_and_makes_a_fault_there_likelier() {
    let mut harness = window(sample(), [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    let zones =
        |harness: &crate::driver::Window| harness.state().model().job.circuit.damage_zones.clone();
    let before = zones(&harness).len();
    type_into(&mut harness, "Part or bundle that was disturbed", "W5, X4");
    click(&mut harness, "Mark as wet");
    let marked = zones(&harness);
    assert_eq!(marked.len(), before + 1);
    assert_eq!(marked[before].parts, ["W5", "X4"]);
    assert_eq!(marked[before].note, "wet");
    type_into(&mut harness, "Part or bundle that was disturbed", "W99");
    assert!(shows(
        &harness,
        "“W99” is no part and no bundle of this sketch"
    ));
    let n = before + 1;
    type_into(
        &mut harness,
        &format!("What happened, place {n}"),
        " through",
    );
    press(&mut harness, Key::Enter);
    assert_eq!(zones(&harness)[before].note, "wet through");
    click(&mut harness, &format!("Remove place {n}"));
    assert_eq!(zones(&harness).len(), before);
}

#[test]
fn a_signed_record_is_added_to_and_not_written_over() {
    let mut job = sample();
    job.record.cause = "W7 chafed".into();
    job.record.sign_off.by = "H. Aldersey".into();
    let mut harness = window(job, [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    assert!(shows(
        &harness,
        "Signed by H. Aldersey: what is written stays as it is."
    ));
    assert!(shows(&harness, "signed: corrections are added at the top"));
    for locked in [
        "Cause",
        "Plate",
        "Vehicle",
        "Add a code",
        "Add a step",
        "Mark as wet",
    ] {
        let node = harness.get_by_label(locked);
        assert!(node.accesskit_node().is_disabled(), "{locked} looks open");
    }
    let photos = harness.get_by_label("Add photos");
    assert!(!photos.accesskit_node().is_disabled(), "they are additions");
    harness.get_by_label("Cause").type_text(" no");
    settle(&mut harness);
    assert_eq!(harness.state().model().job.record.cause, "W7 chafed");
    click(&mut harness, "Write a correction or addition");
    type_into(&mut harness, "Addition 1", "Came back dry.");
    let record = &harness.state().model().job.record;
    assert_eq!(record.amendments[0].text, "Came back dry.");
    let cause = harness.get_by_label("Cause").rect().top();
    let addition = harness.get_by_label("Addition 1").rect().top();
    assert!(addition < cause, "it stands over what it corrects");
    type_into(&mut harness, "Signed by", "x");
    press(&mut harness, Key::Enter);
    assert!(
        shows(&harness, "H. Aldersey"),
        "the signature stays readable"
    );
}

#[test]
fn what_is_open_stands_beside_the_signature_and_an_empty_job_takes_none() {
    let mut job = sample();
    job.now.unplugged.insert("C2".into());
    job.record.date = "31.02.2026".into();
    job.record.vehicle.battery = Some(volts(124.0));
    let mut harness = window(job, [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    for open in [
        "Open yet; the report names what is left open",
        "is unplugged",
        "the record does not say the cause",
        "“31.02.2026” is no day: February 2026 has 28 days",
        "124 V is no usual battery",
    ] {
        assert!(shows(&harness, open), "{open}");
    }
    let mut harness = window(Job::default(), [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    type_into(&mut harness, "Signed by", "N. Comer");
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().model().job.record.sign_off.by, "");
    assert!(shows(&harness, "there is nothing to sign yet"));
    let field = harness.get_by_label("Signed by");
    assert_eq!(field.value().as_deref(), Some("N. Comer"), "it stays typed");
    assert!(harness.state().model().notices.is_empty(), "told beside it");
}

#[test]
fn another_jobs_file_is_written_over_only_once_that_was_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("tender.ron");
    let title = |path: &std::path::Path| read_job(path).expect("saved").job.title;
    let mut first = window(sample(), [1440.0, 900.0]);
    save_at(&mut first, &file);
    let kept = title(&file);
    let other = || Job {
        title: "another job".into(),
        ..sample()
    };
    let mut harness = window(other(), [1440.0, 900.0]);
    // The ending by which a notebook lists a job need not be typed.
    save_at(&mut harness, &folder.path().join("tender"));
    assert!(shows(&harness, "There is a file tender.ron already."));
    assert_eq!(title(&file), kept, "nothing was written yet");
    click(&mut harness, "Save as tender-2.ron");
    assert_eq!(title(&folder.path().join("tender-2.ron")), "another job");
    assert_eq!(title(&file), kept);
    // The free name was found when the question came up; a file that has come there since is not written over either.
    save_at(&mut harness, &file);
    let offered = folder.path().join("tender-3.ron");
    std::fs::write(&offered, "of somebody else").expect("written");
    click(&mut harness, "Save as tender-3.ron");
    let left = std::fs::read_to_string(&offered).expect("still there");
    assert_eq!(left, "of somebody else");
    assert!(shows(&harness, "Save as tender-4.ron"));
    press(&mut harness, Key::Escape);
    // Its own file is saved without a question.
    save_at(&mut harness, &folder.path().join("tender-2.ron"));
    assert!(!shows(&harness, "There is a file"));
    let mut harness = window(other(), [1440.0, 900.0]);
    save_at(&mut harness, &file);
    click(&mut harness, "Write over it");
    assert_eq!(title(&file), "another job");
}

#[test]
fn everything_on_the_page_stays_inside_a_small_window_and_inside_two_columns() {
    for (width, gloves) in [
        (640.0, false),
        (640.0, true),
        (1280.0, false),
        (1280.0, true),
    ] {
        let text = include_str!("../../sample_circuits/13-proved-and-signed.ron");
        let job = pinchpoint::notebook::parse_job("sample", text.as_bytes())
            .expect("reads")
            .job;
        let mut harness = window(job, [width, 9000.0]);
        if gloves {
            click(&mut harness, "Gloves");
        }
        click(&mut harness, "Page Job");
        for part in [
            "Code",
            "Step",
            "Module",
            "Addition",
            "Write the",
            "Parts of place",
            "Follow-up",
        ] {
            for node in harness.query_all_by_label_contains(part) {
                let right = node.rect().right();
                assert!(
                    right <= width,
                    "{part} ends at {right} of {width}, gloves {gloves}"
                );
            }
        }
        let report = harness.get_by_label("Write the report (PDF)").rect();
        let second = report.left() > width / 2.0;
        assert_eq!(second, width > 1000.0, "{report:?}");
    }
}

#[test]
fn a_whole_name_signs_and_the_letters_before_do_not() {
    let mut harness = window(sample(), [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    click(&mut harness, "Signed by");
    for letter in "N. Comer".chars() {
        let field = harness.get_by_label("Signed by");
        assert!(field.is_focused(), "the keyboard stays before {letter}");
        field.type_text(&letter.to_string());
        settle(&mut harness);
        assert_eq!(harness.state().model().job.record.sign_off.by, "");
    }
    press(&mut harness, Key::Enter);
    let sign = harness.state().model().job.record.sign_off.clone();
    assert_eq!(sign.by, "N. Comer");
    let today = &harness.state().model().today;
    assert!(!today.is_empty());
    assert_eq!(sign.date, *today, "of the day on which it was signed");
    let said = format!("Signed by N. Comer on {}: what is written", sign.date);
    assert!(shows(&harness, &said));
    // Lines of the log that come later are told by the program, in words that nobody changes.
    let feed = "M1.feed".parse().expect("a point");
    let add = Screen::SelectPoint(Some(feed));
    let ctx = Context::default();
    harness.state_mut().carry_out(&ctx, add.into());
    let submit = Screen::Submit(Some("8.9".into()));
    harness.state_mut().carry_out(&ctx, submit.into());
    settle(&mut harness);
    for locked in ["Addition 1", "Author of addition 1", "Remove addition 1"] {
        let node = harness.get_by_label(locked);
        assert!(node.accesskit_node().is_disabled(), "{locked} looks open");
    }
}

#[test]
fn the_keyboard_stays_in_a_field_whatever_comes_above_it() {
    let mut harness = window(sample(), [1440.0, 5400.0]);
    click(&mut harness, "Page Job");
    click(&mut harness, "Signed on");
    // A notice that nothing of the page has to do with.
    let news = Refusal::new("", "something was said", "");
    let tell = Screen::Tell(Weight::News, news);
    harness
        .state_mut()
        .carry_out(&Context::default(), tell.into());
    settle(&mut harness);
    harness.get_by_label("Signed on").type_text("2031-04-02");
    settle(&mut harness);
    assert_eq!(
        harness.state().model().job.record.sign_off.date,
        "2031-04-02"
    );
}
