//! What stands over the page: work that another window left behind.

use crate::driver::{click, name_with, settle, type_into, window_at};

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
