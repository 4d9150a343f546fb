//! The desktop's own file windows, on threads of their own: without one the answer is the same as a cancel, so the
//! path box stays the way that always works.

use std::{
    path::{Path, PathBuf},
    sync::mpsc::{Receiver, Sender, channel},
    thread,
};

use super::dialog::PathAsk;
use crate::app::words;

/// What the desktop answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Picked {
    /// A file to open.
    Open(PathBuf),
    /// A place to save at.
    Save(PathBuf),
    /// Nothing was chosen to open: cancelled, or there is no file window here.
    NoOpen,
    /// Nothing was chosen to save at.
    NoSave,
    /// What else was asked for, and what was typed before.
    Paths(PathAsk, String, Option<Vec<PathBuf>>),
}

/// The way to the file windows.
pub struct Files {
    sender: Sender<Picked>,
    answers: Receiver<Picked>,
}

impl Files {
    /// No window is open yet.
    pub fn new() -> Self {
        let (sender, answers) = channel();
        Self { sender, answers }
    }

    /// Asks which file to open.
    pub fn browse_open(&self, ctx: &egui::Context) {
        self.ask(ctx, || {
            let file = rfd::FileDialog::new()
                .set_title("Open a job")
                .add_filter("Pinchpoint job", &["ron"])
                .pick_file();
            file.map_or(Picked::NoOpen, Picked::Open)
        });
    }

    /// Asks where to save.
    pub fn browse_save(&self, ctx: &egui::Context, name: String) {
        self.ask(ctx, move || {
            let file = rfd::FileDialog::new()
                .set_title("Save the job")
                .add_filter("Pinchpoint job", &["ron"])
                .set_file_name(name)
                .save_file();
            file.map_or(Picked::NoSave, Picked::Save)
        });
    }

    /// Asks for something else that a path answers.
    pub fn browse(&self, ctx: &egui::Context, ask: PathAsk, typed: String) {
        self.ask(ctx, move || {
            let dialog = rfd::FileDialog::new().set_title(ask.title());
            let one = |path: Option<PathBuf>| path.map(|path| vec![path]);
            let picked = match &ask {
                PathAsk::Folder => one(dialog.pick_folder()),
                PathAsk::Import => one(dialog
                    .add_filter("Jobs and packed jobs", &["ron", "zip"])
                    .pick_file()),
                PathAsk::Pack(_) => one(dialog
                    .add_filter("Packed job", &["zip"])
                    .set_file_name(words::file(Path::new(&typed)))
                    .save_file()),
                PathAsk::Photos => dialog
                    .add_filter("Photos", &["jpg", "jpeg", "png"])
                    .add_filter("Every file", &["*"])
                    .pick_files(),
            };
            Picked::Paths(ask, typed, picked)
        });
    }

    /// The next answer.
    pub fn answer(&self) -> Option<Picked> {
        self.answers.try_recv().ok()
    }

    fn ask(&self, ctx: &egui::Context, ask: impl FnOnce() -> Picked + Send + 'static) {
        let (sender, ctx) = (self.sender.clone(), ctx.clone());
        thread::spawn(move || {
            // The window may be gone by the time the answer comes; then nobody waits for it.
            let _ = sender.send(ask());
            ctx.request_repaint();
        });
    }
}
