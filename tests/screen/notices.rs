//! What stands under the page: notices, work that another window left behind.

use crate::driver::{click, name_with, sample, settle, shows, type_into, window, window_at};
use eframe::egui::Context;
use egui_kittest::kittest::Queryable as _;
use pinchpoint::{app::FileCommand, report::Form};

#[test]
fn a_notice_moves_nothing_that_could_be_under_the_pointer() {
    for size in [[1280.0, 800.0], [1440.0, 900.0], [640.0, 400.0]] {
        let mut harness = window(sample(), size);
        let places = |harness: &crate::driver::Window| {
            ["C2 inline connector, plugged", "Fit the drawing", "Log"]
                .map(|name| harness.get_by_label(name).rect())
        };
        let before = places(&harness);
        // Without a file there is no place beside it for a report.
        let report = FileCommand::Report(Form::Html);
        (harness.state_mut()).carry_out(&Context::default(), report.into());
        settle(&mut harness);
        assert!(shows(&harness, "Dismiss: "), "{size:?}");
        assert_eq!(places(&harness), before, "{size:?}");
    }
}

#[test]
fn a_job_left_behind_is_forgotten_only_when_that_is_said_twice() {
    let folder = tempfile::tempdir().unwrap();
    let mut first = window_at(folder.path(), [1440.0, 900.0]);
    click(&mut first, "Page Job");
    type_into(&mut first, "Job title", " boom dead");
    settle(&mut first);
    // It ends without a question, as when the power goes.
    drop(first);
    let mut second = window_at(folder.path(), [1440.0, 900.0]);
    assert_eq!(second.state().model().recovered.len(), 1);
    let name = name_with(&second, "Forget ").unwrap();
    click(&mut second, &name);
    assert_eq!(second.state().model().recovered.len(), 1, "it asks");
    let keep = name_with(&second, "Keep ").unwrap();
    click(&mut second, &keep);
    click(&mut second, &name);
    let sure = name_with(&second, "for good").unwrap();
    click(&mut second, &sure);
    assert!(second.state().model().recovered.is_empty());
}
