//! What files that are dropped on the window are for.

use std::path::{Path, PathBuf};

use crate::app::{Command, NotebookCommand, model::Page};

/// Dropped files, sorted.
#[derive(Debug, Default)]
pub struct Dropped {
    /// To be opened.
    pub open: Vec<PathBuf>,
    /// What becomes of the others.
    pub commands: Vec<Command>,
}

impl Dropped {
    /// A job is taken into the notebook on its page and opened elsewhere, a packed one is always taken in; anything else is
    /// kept with the job on the bench, as photos are. Practice opens what it is given, one at a time.
    pub fn sorted(page: Page, files: Vec<PathBuf>) -> Self {
        let mut sorted = Self::default();
        let mut kept = Vec::new();
        for file in files {
            let job = ends_with(&file, "ron");
            if page == Page::Practice {
                if sorted.open.is_empty() {
                    sorted.open.push(file);
                }
            } else if ends_with(&file, "zip") || job && page == Page::Notebook {
                sorted.commands.push(NotebookCommand::Import(file).into());
            } else if job {
                sorted.open.push(file);
            } else {
                kept.push(file);
            }
        }
        if !kept.is_empty() {
            sorted.commands.push(NotebookCommand::Attach(kept).into());
        }
        sorted
    }
}

fn ends_with(path: &Path, ending: &str) -> bool {
    let own = path.extension().unwrap_or_default();
    own.eq_ignore_ascii_case(ending)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_go_where_their_page_and_their_ending_say() {
        let files = || {
            ["a.ron", "b.ZIP", "c.jpg", "d.png"]
                .map(PathBuf::from)
                .to_vec()
        };
        let told = |page: Page| {
            let sorted = Dropped::sorted(page, files());
            let commands: Vec<String> = sorted.commands.iter().map(Command::name).collect();
            (sorted.open.len(), commands)
        };
        let (zip, photos) = ("Import b.ZIP".to_owned(), "Attach 2 files".to_owned());
        assert_eq!(told(Page::Job), (1, vec![zip.clone(), photos.clone()]));
        let job = "Import a.ron".to_owned();
        assert_eq!(told(Page::Notebook), (0, vec![job, zip, photos]));
        assert_eq!(told(Page::Practice), (1, Vec::new()));
        assert!(Dropped::sorted(Page::Bench, Vec::new()).commands.is_empty());
    }
}
