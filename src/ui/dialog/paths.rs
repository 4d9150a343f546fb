//! Questions that a path answers: the notebook's folder, what to import, where a packed job goes, which photos to keep.

use std::path::{Path, PathBuf};

use egui::{Id, Key, Ui};

use crate::{
    app::{Command, Model, NotebookCommand},
    ui::{
        act::Act,
        kit::{Field, Tone, begin_here, button_ui, field_ui, text_ui},
        theme::Theme,
    },
};

/// What a path is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PathAsk {
    /// The folder of the shop's notebook.
    Folder,
    /// A job file or a packed job.
    Import,
    /// Where to pack the job of this file.
    Pack(PathBuf),
    /// Photos and other files to keep with the job on the bench.
    Photos,
}

impl PathAsk {
    /// Title of the question.
    pub fn title(&self) -> &'static str {
        match self {
            Self::Folder => "Folder of the notebook",
            Self::Import => "Import a job",
            Self::Pack(_) => "Pack the job as one file",
            Self::Photos => "Add photos",
        }
    }

    /// What is to be known about it.
    fn hint(&self) -> &'static str {
        match self {
            Self::Folder => {
                "Job files in it and up to three folders deep are listed. Nothing in it is changed by looking."
            }
            Self::Import => {
                "A job file (.ron) with the photos beside it, or a packed job (.zip). A copy goes into the notebook."
            }
            Self::Pack(_) => "The job with its photos goes into this file.",
            Self::Photos => {
                "JPEG and PNG are printed in the report; other files up to 25 MB are kept, too. Copies go beside the job's file."
            }
        }
    }

    /// Name of its box.
    fn label(&self) -> &'static str {
        match self {
            Self::Folder => "Path of the folder",
            Self::Import => "Path of the job to import",
            Self::Pack(_) => "Path of the packed job",
            Self::Photos => "Path of the photo",
        }
    }

    /// What its button says.
    fn verb(&self) -> &'static str {
        match self {
            Self::Folder => "Use this folder",
            Self::Import => "Import it",
            Self::Pack(_) => "Pack it",
            Self::Photos => "Add it",
        }
    }

    /// What follows from these paths.
    pub fn command(&self, mut paths: Vec<PathBuf>) -> Option<Command> {
        if matches!(self, Self::Photos) {
            return Some(NotebookCommand::Attach(paths).into());
        }
        let path = absolute(&paths.pop()?);
        Some(match self {
            Self::Folder => NotebookCommand::SetFolder(path).into(),
            Self::Import => NotebookCommand::Import(path).into(),
            Self::Pack(from) => NotebookCommand::Pack(from.clone(), path).into(),
            Self::Photos => return None,
        })
    }
}

/// A typed path from the root on, as it will be used; as it was typed where the system knows no present folder.
pub fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf())
}

/// The path as it will be used, shown under a box where it differs from what is typed.
pub fn shown_ui(ui: &mut Ui, theme: &Theme, typed: &str) {
    let typed = typed.trim();
    let whole = absolute(Path::new(typed));
    if !typed.is_empty() && whole.as_os_str() != typed {
        let text = format!("That is {}", whole.display());
        text_ui(ui, &text, theme.label(), theme.colour.muted);
    }
}

/// A box for a path, which has the keyboard when the question comes up. Answers whether Enter was pressed in it.
pub fn path_box_ui(ui: &mut Ui, theme: &Theme, path: &mut String, name: &str, hint: &str) -> bool {
    let field = Field {
        name,
        hint,
        id: Some(Id::unique(("path box", name))),
        ..Field::default()
    };
    let response = field_ui(ui, theme, path, &field);
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    begin_here(ui, &response);
    shown_ui(ui, theme, path);
    entered
}

/// The question.
pub fn path_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    (ask, path): (&PathAsk, &mut String),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    text_ui(ui, ask.title(), theme.title(), c.ink);
    text_ui(ui, ask.hint(), theme.body(), c.ink);
    let saves_first = *ask == PathAsk::Photos && model.path.is_none();
    let verb = if saves_first {
        let first = "This job has no file yet: it is saved first, then the photo is added.";
        text_ui(ui, first, theme.body(), c.attention_text);
        "Save the job and add it"
    } else {
        ask.verb()
    };
    let entered = path_box_ui(ui, theme, path, ask.label(), "type or paste a path");
    ui.horizontal_wrapped(|ui| {
        let go = button_ui(ui, theme, Tone::Primary, verb, None).clicked();
        if (go || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            let command = ask.command(vec![PathBuf::from(path.trim())]);
            acts.extend(command.map(Act::Do));
        }
        if button_ui(ui, theme, Tone::Plain, "Browse", None).clicked() {
            acts.push(Act::Close);
            acts.push(Act::Browse(ask.clone(), path.clone()));
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}
