//! To which job what is typed belongs: ids that no other job has, so that no draft and no caret strays into it.

use egui::{Context, Id, Ui};

fn number_id() -> Id {
    Id::unique("number of the job that is shown")
}

/// Says which job is shown from here on, by its number.
pub fn show_job(ctx: &Context, number: u64) {
    ctx.data_mut(|data| data.insert_temp(number_id(), number));
}

/// The id of something that the job shown has once. It stays, whatever else comes and goes on the page.
pub fn job_id(ui: &Ui, name: &str) -> Id {
    let number: u64 = ui.data(|data| data.get_temp(number_id()).unwrap_or_default());
    Id::unique(("of a job", number, name))
}
