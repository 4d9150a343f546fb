//! Sessions on disk while they go on: each is written after every step, and what a window left is offered again.
//!
//! A diary is `session-N.ron` with `session-N.lock`, which is held for as long as the session is in a window.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::Arc,
};

use super::files::refusal;
use crate::{
    app::{lock::Lock, model::Refusal},
    notebook::training::{read_session, write_session},
    practice::{Drill, Level, Session, Unfinished},
};

/// Most sessions that are kept at once.
const MOST: usize = 64;

/// The file of one session.
#[derive(Debug)]
pub(super) struct Diary {
    file: PathBuf,
    _lock: Lock,
}

impl Diary {
    /// A diary in which nothing stands yet.
    fn empty(folder: &Path) -> Result<Self, Refusal> {
        let untold = |what: String| {
            let what = format!("the session cannot be kept for a restart: {what}");
            let remedy = "Finish it before the window closes, or make this folder writable";
            Refusal::new(folder.display().to_string(), what, remedy)
        };
        fs::create_dir_all(folder).map_err(|error| untold(error.to_string()))?;
        for number in 0..MOST {
            let file = folder.join(format!("session-{number}.ron"));
            if file.exists() {
                continue;
            }
            let lock = Lock::take(&file.with_extension("lock"));
            if let Some(lock) = lock.map_err(|error| untold(error.to_string()))? {
                return Ok(Self { file, _lock: lock });
            }
        }
        Err(untold(format!(
            "{MOST} others are not finished; forget some"
        )))
    }

    /// Whether something stands in it.
    pub fn is_written(&self) -> bool {
        self.file.exists()
    }

    /// The session is finished, or not wanted any more.
    pub fn clear(&self) {
        // A file that cannot be removed is offered at the next start, which does no harm.
        let _ = fs::remove_file(&self.file);
    }
}

/// A session that can be gone on with.
#[derive(Clone, Debug)]
pub struct Left {
    /// The session.
    pub unfinished: Arc<Unfinished>,
    /// It was left by a window that is closed, and nobody has said yet what is to become of it.
    pub asks: bool,
    pub(super) diary: Arc<Diary>,
}

impl Left {
    /// What it is called, and who does it.
    pub fn name(&self) -> String {
        let title = match self.unfinished.exercise.title.trim() {
            "" => "an exercise",
            title => title,
        };
        match self.unfinished.trainee.trim() {
            "" => title.to_owned(),
            trainee => format!("{title}, {trainee}"),
        }
    }

    /// Whether both are the same.
    pub(super) fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.diary, &other.diary)
    }
}

/// What other windows have left, and why something cannot be read; that is kept as `session-N.unreadable.ron`.
pub(super) fn left_behind(folder: &Path) -> (Vec<Left>, Vec<Refusal>) {
    let (mut left, mut troubles) = (Vec::new(), Vec::new());
    for number in 0..MOST {
        let file = folder.join(format!("session-{number}.ron"));
        if !file.exists() {
            continue;
        }
        // One that another window has, or whose lock cannot be made, is not ours to offer.
        let Ok(Some(lock)) = Lock::take(&file.with_extension("lock")) else {
            continue;
        };
        match read_session(&file) {
            Ok(unfinished) => left.push(Left {
                unfinished: Arc::new(unfinished),
                asks: true,
                diary: Arc::new(Diary { file, _lock: lock }),
            }),
            Err(error) => {
                // Told once; if it cannot be moved it is told again, which does no harm.
                let _ = fs::rename(&file, file.with_extension("unreadable.ron"));
                troubles.push(refusal(&error));
            }
        }
    }
    (left, troubles)
}

/// What belongs to a session beside its steps, and where it is kept.
#[derive(Clone)]
pub(super) struct Keeping {
    /// Where diaries are; nothing is kept without.
    pub folder: Option<PathBuf>,
    /// Its diary, once there is one.
    pub diary: Option<Arc<Diary>>,
    /// Skill and level.
    pub aim: Option<(Drill, Level)>,
    /// Its seed.
    pub seed: u64,
    /// Who practises.
    pub trainee: String,
}

impl Keeping {
    /// Writes the session as it stands. Answers its diary.
    pub fn keep(self, session: &Session) -> Result<Option<Arc<Diary>>, Refusal> {
        let Some(folder) = &self.folder else {
            return Ok(None);
        };
        let diary = match self.diary {
            Some(diary) => diary,
            None => Arc::new(Diary::empty(folder)?),
        };
        let unfinished = Unfinished::of(session, self.aim, self.seed, &self.trainee);
        write_session(&diary.file, &unfinished).map_err(|error| refusal(&error))?;
        Ok(Some(diary))
    }
}
