//! What the program remembers of a person: look, page, window, files that were open lately.

use std::{fs, io, path::PathBuf};

use serde::{Deserialize, Serialize};

use super::{
    home::{Home, write_whole},
    model::{Look, Page, RECENT, Refusal, SCALE_RANGE},
    practice::Draft,
};

/// Largest settings file that is read, in bytes: an exercise that is being made may have a long story.
const LARGEST: u64 = 4 * 1024 * 1024;

/// Where the window stood, in points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WindowPlace {
    /// Left and top of the outer frame; left to the system when none.
    #[serde(default)]
    pub at: Option<(f32, f32)>,
    /// Width and height of the inside.
    pub size: (f32, f32),
    /// Whether it filled the screen.
    #[serde(default)]
    pub maximised: bool,
}

impl WindowPlace {
    /// Whether the numbers can be those of a window.
    fn is_sound(&self) -> bool {
        let (width, height) = self.size;
        let spot = |(x, y): (f32, f32)| x.abs() < 1e5 && y.abs() < 1e5;
        (200.0..2e4).contains(&width) && (150.0..2e4).contains(&height) && self.at.is_none_or(spot)
    }
}

/// The settings. Fields that this version does not know are passed over, so that an older program still starts.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// How the screen looks.
    #[serde(default)]
    pub look: Look,
    /// The page in sight.
    #[serde(default)]
    pub page: Page,
    /// Where the window stood.
    #[serde(default)]
    pub window: Option<WindowPlace>,
    /// The tour was seen, or not wanted.
    #[serde(default)]
    pub toured: bool,
    /// Files that were open lately, latest first.
    #[serde(default)]
    pub recent: Vec<String>,
    /// Folder of the shop's notebook.
    #[serde(default)]
    pub notebook: Option<String>,
    /// Who practised last, and where records are kept.
    #[serde(default)]
    pub practised: Practised,
}

/// What is remembered of practice.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Practised {
    /// The trainee's name.
    #[serde(default)]
    pub trainee: String,
    /// Folder of records; the program's own when none.
    #[serde(default)]
    pub folder: Option<String>,
    /// The exercise that a trainer is making.
    #[serde(default)]
    pub draft: Draft,
}

impl Settings {
    /// Brings numbers that a hand may have written into range.
    fn mended(mut self) -> Self {
        self.look.scale = self.look.scale.clamp(SCALE_RANGE.0, SCALE_RANGE.1);
        self.window = self.window.filter(WindowPlace::is_sound);
        self.recent.truncate(RECENT);
        self
    }

    /// Reads the settings. A file that cannot be read is told, kept under another name, and the usual settings apply.
    pub fn read(home: &Home) -> (Self, Option<Refusal>) {
        let path = home.settings();
        let place = path.display().to_string();
        let text = match fs::metadata(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return (Self::default(), None);
            }
            Ok(data) if data.len() > LARGEST => Err("it is far too long".to_owned()),
            _ => fs::read_to_string(&path).map_err(|error| error.to_string()),
        };
        let read = text.and_then(|text| {
            ron::from_str::<Self>(&text).map_err(|error| {
                let what: String = error.code.to_string().chars().take(120).collect();
                format!("line {}: {what}", error.span.start.line)
            })
        });
        match read {
            Ok(settings) => (settings.mended(), None),
            Err(what) => {
                let kept: PathBuf = path.with_extension("unreadable.ron");
                // If it cannot be moved either, the next change of a setting writes over it; only looks are lost.
                let _ = fs::rename(&path, &kept);
                let refusal = Refusal::new(
                    place,
                    format!("the settings could not be read ({what}), so the usual ones apply"),
                    "Set theme and size again; the old file was kept as settings.unreadable.ron",
                );
                (Self::default(), Some(refusal))
            }
        }
    }

    /// Writes the settings.
    ///
    /// # Errors
    /// What the disk says.
    pub fn write(&self, home: &Home) -> io::Result<()> {
        let pretty = ron::ser::PrettyConfig::default();
        let text = ron::ser::to_string_pretty(self, pretty).map_err(io::Error::other)?;
        write_whole(&home.settings(), &text)
    }
}
