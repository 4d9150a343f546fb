//! Opening the window, and one plain sentence where it cannot open.

use std::{
    env, io,
    os::unix::net::UnixStream,
    panic::{self, AssertUnwindSafe},
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

use eframe::{NativeOptions, Renderer, egui::ViewportBuilder};

use super::shell::Shell;
use crate::app::{
    home::Home,
    settings::{Settings, WindowPlace},
};

/// What the command line asked of the window.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// A bench file to put on the bench; the first sample when none.
    pub file: Option<PathBuf>,
}

/// Why there is no window. Every text is one sentence that says what is missing and how to go on without it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BootError {
    /// Neither `DISPLAY` nor `WAYLAND_DISPLAY` is set.
    #[error(
        "no window can open because neither DISPLAY nor WAYLAND_DISPLAY is set: start Pinchpoint from a desktop session, or use the command line, `pinchpoint diagnose FILE`"
    )]
    NoDisplay,
    /// A display is named, but nothing answers there.
    #[error(
        "no window can open because nothing answers at {variable}={value} ({reason}): start Pinchpoint from a running desktop session, or use the command line, `pinchpoint diagnose FILE`"
    )]
    Unreachable {
        /// Environment variable that names the display.
        variable: &'static str,
        /// What it holds.
        value: String,
        /// What the system said.
        reason: String,
    },
    /// Libraries of the desktop are not installed.
    #[error(
        "no window can open because {libraries} cannot be loaded: install {packages} (names as in Debian and Ubuntu), or use the command line, `pinchpoint diagnose FILE`"
    )]
    Libraries {
        /// File names.
        libraries: String,
        /// Package names.
        packages: String,
    },
    /// Anything else that the system refuses.
    #[error(
        "no window can open because the system refused one ({0}): check the graphics driver, or use the command line, `pinchpoint diagnose FILE`"
    )]
    Refused(String),
}

/// Which kind of display answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Display {
    X11,
    Wayland,
}

/// Libraries that are loaded at run time, with the package that brings each.
const LIBRARIES: [(Display, &str, &str); 8] = [
    (Display::X11, "libX11.so.6", "libx11-6"),
    (Display::X11, "libX11-xcb.so.1", "libx11-xcb1"),
    (Display::X11, "libXcursor.so.1", "libxcursor1"),
    (Display::X11, "libXi.so.6", "libxi6"),
    (Display::X11, "libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
    (
        Display::Wayland,
        "libwayland-client.so.0",
        "libwayland-client0",
    ),
    (Display::Wayland, "libxkbcommon.so.0", "libxkbcommon0"),
    (Display::Wayland, "libwayland-egl.so.1", "libwayland-egl1"),
];

/// Size of the window at first, and the least it can have, in points.
const USUAL: [f32; 2] = [1440.0, 900.0];
const LEAST: [f32; 2] = [560.0, 360.0];

/// Graphics libraries of which one is enough.
const GRAPHICS: [&str; 2] = ["libGL.so.1", "libEGL.so.1"];

/// Opens the window and stays until it is closed.
///
/// # Errors
/// [`BootError`] when no window could be opened.
pub fn run(options: Options) -> Result<(), BootError> {
    let display = find_display(&Surroundings::from_process())?;
    let home = Home::find();
    let native = NativeOptions {
        renderer: Renderer::Glow,
        viewport: viewport(home.as_ref().and_then(window_place)),
        event_loop_builder: Some(Box::new(move |builder| prefer(builder, display))),
        ..NativeOptions::default()
    };
    let opened = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&opened);
    // A missing library is a panic deep in the window system; until the window stands, it is ours to explain.
    let quiet = panic::take_hook();
    panic::set_hook(Box::new(|_| {}));
    let outcome = panic::catch_unwind(AssertUnwindSafe(move || {
        eframe::run_native(
            "Pinchpoint",
            native,
            Box::new(move |creation| {
                panic::set_hook(quiet);
                flag.store(true, Ordering::Relaxed);
                Ok(Box::new(Shell::new(&creation.egui_ctx, &options, home)?))
            }),
        )
    }));
    if !opened.load(Ordering::Relaxed) {
        drop(panic::take_hook());
    }
    match outcome {
        Ok(Ok(())) => Ok(()),
        Err(fault) if opened.load(Ordering::Relaxed) => panic::resume_unwind(fault),
        Ok(Err(error)) => Err(explain(display, &error.to_string())),
        Err(fault) => Err(explain(display, &message(fault.as_ref()))),
    }
}

/// The window as it stood last, or as large as a small laptop allows.
fn viewport(place: Option<WindowPlace>) -> ViewportBuilder {
    let builder = ViewportBuilder::default()
        .with_title("Pinchpoint")
        .with_app_id("pinchpoint")
        .with_min_inner_size(LEAST);
    let Some(place) = place else {
        return builder.with_inner_size(USUAL);
    };
    let (width, height) = place.size;
    let size = [
        width.clamp(LEAST[0], 16_000.0),
        height.clamp(LEAST[1], 16_000.0),
    ];
    let builder = builder
        .with_inner_size(size)
        .with_maximized(place.maximised);
    match place.at {
        Some((x, y)) => builder.with_position([x, y]),
        None => builder,
    }
}

/// Where the window stood last. What cannot be read is told by the window itself once it stands.
fn window_place(home: &Home) -> Option<WindowPlace> {
    let text = std::fs::read_to_string(home.settings()).ok()?;
    ron::from_str::<Settings>(&text).ok()?.window
}

fn prefer(builder: &mut winit::event_loop::EventLoopBuilder<eframe::UserEvent>, display: Display) {
    use winit::platform::{wayland::EventLoopBuilderExtWayland, x11::EventLoopBuilderExtX11};
    match display {
        Display::X11 => builder.with_x11(),
        Display::Wayland => builder.with_wayland(),
    };
}

fn message(fault: &(dyn std::any::Any + Send)) -> String {
    fault
        .downcast_ref::<String>()
        .cloned()
        .or_else(|| fault.downcast_ref::<&str>().map(|text| (*text).to_owned()))
        .unwrap_or_else(|| "no reason given".to_owned())
}

/// The environment that decides where a window can open.
struct Surroundings {
    x11: Option<String>,
    wayland: Option<String>,
    runtime_folder: Option<PathBuf>,
}

impl Surroundings {
    fn from_process() -> Self {
        let set = |name: &str| env::var(name).ok().filter(|value| !value.is_empty());
        Self {
            x11: set("DISPLAY"),
            wayland: set("WAYLAND_DISPLAY"),
            runtime_folder: set("XDG_RUNTIME_DIR").map(PathBuf::from),
        }
    }
}

/// The display that answers; Wayland first, as on the desktop itself.
fn find_display(around: &Surroundings) -> Result<Display, BootError> {
    let mut missed = BootError::NoDisplay;
    if let Some(name) = &around.wayland {
        let socket = around
            .runtime_folder
            .as_deref()
            .unwrap_or(Path::new("/"))
            .join(name);
        match UnixStream::connect(socket) {
            Ok(_) => return Ok(Display::Wayland),
            Err(error) => missed = unreachable("WAYLAND_DISPLAY", name, &error),
        }
    }
    if let Some(name) = &around.x11 {
        match x11_answers(name) {
            Ok(()) => return Ok(Display::X11),
            Err(error) => missed = unreachable("DISPLAY", name, &error),
        }
    }
    Err(missed)
}

fn unreachable(variable: &'static str, value: &str, error: &io::Error) -> BootError {
    BootError::Unreachable {
        variable,
        value: value.chars().take(80).collect(),
        reason: error.to_string(),
    }
}

/// Whether a local X server listens; servers on other machines are left to the window system.
fn x11_answers(name: &str) -> io::Result<()> {
    let Some(number) = name
        .strip_prefix("unix:")
        .or_else(|| name.strip_prefix(':'))
        .map(|rest| rest.split('.').next().unwrap_or_default())
    else {
        return Ok(());
    };
    let path = format!("/tmp/.X11-unix/X{number}");
    UnixStream::connect(&path)
        .or_else(|error| abstract_socket(&path).map_err(|_| error))
        .map(|_| ())
}

fn abstract_socket(path: &str) -> io::Result<UnixStream> {
    use std::os::{linux::net::SocketAddrExt, unix::net::SocketAddr};
    UnixStream::connect_addr(&SocketAddr::from_abstract_name(path)?)
}

/// Turns what the window system said into a sentence about what is missing.
fn explain(display: Display, said: &str) -> BootError {
    let installed = Installed::read();
    let mut missing: Vec<(&str, &str)> = LIBRARIES
        .iter()
        .filter(|(kind, library, _)| *kind == display && !installed.has(library))
        .map(|(_, library, package)| (*library, *package))
        .collect();
    if !GRAPHICS.iter().any(|library| installed.has(library)) {
        missing.push(("libGL.so.1", "libgl1"));
    }
    if missing.is_empty() {
        let plain: String = said.chars().filter(|c| !c.is_control()).take(160).collect();
        return BootError::Refused(plain.trim_end_matches('.').to_owned());
    }
    let list = |pick: fn(&(&'static str, &'static str)) -> &'static str| {
        missing.iter().map(pick).collect::<Vec<_>>().join(" ")
    };
    BootError::Libraries {
        libraries: list(|pair| pair.0),
        packages: list(|pair| pair.1),
    }
}

/// What the loader can find: its cache and the folders it is told to look in.
struct Installed {
    cache: Vec<u8>,
    folders: Vec<PathBuf>,
}

impl Installed {
    fn read() -> Self {
        let mut folders: Vec<PathBuf> =
            ["/lib", "/usr/lib", "/lib64", "/usr/lib64", "/usr/local/lib"]
                .map(PathBuf::from)
                .into();
        if let Some(paths) = env::var_os("LD_LIBRARY_PATH") {
            folders.extend(env::split_paths(&paths));
        }
        Self {
            cache: std::fs::read("/etc/ld.so.cache").unwrap_or_default(),
            folders,
        }
    }

    fn has(&self, library: &str) -> bool {
        let mut needle = library.as_bytes().to_vec();
        needle.push(0);
        self.cache
            .windows(needle.len())
            .any(|piece| piece == needle)
            || self
                .folders
                .iter()
                .any(|folder| folder.join(library).exists())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::net::UnixListener;

    fn around(x11: Option<&str>, wayland: Option<&str>, folder: Option<&Path>) -> Surroundings {
        Surroundings {
            x11: x11.map(str::to_owned),
            wayland: wayland.map(str::to_owned),
            runtime_folder: folder.map(Path::to_path_buf),
        }
    }

    #[test]
    fn nothing_set_is_said_in_one_sentence_with_a_way_on() {
        let error = find_display(&around(None, None, None)).unwrap_err();
        assert_eq!(error, BootError::NoDisplay);
        let text = error.to_string();
        assert!(text.contains("DISPLAY") && text.contains("pinchpoint diagnose FILE"));
        assert!(!text.contains(". "), "more than one sentence: {text}");
    }

    #[test]
    fn a_dead_display_is_named() {
        let error = find_display(&around(Some(":64999"), None, None)).unwrap_err();
        assert!(error.to_string().contains("DISPLAY=:64999"), "{error}");
    }

    #[test]
    fn a_live_wayland_socket_comes_first_and_a_dead_one_falls_back() {
        let folder = env::temp_dir().join(format!("pinchpoint-boot-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let live = folder.join("wayland-live");
        let _ = std::fs::remove_file(&live);
        let listener = UnixListener::bind(&live).unwrap();
        let found = find_display(&around(Some(":64999"), Some("wayland-live"), Some(&folder)));
        assert_eq!(found, Ok(Display::Wayland));
        // A display on another machine is not probed, so it stands for one that may answer.
        let found = find_display(&around(
            Some("bench:0"),
            Some("wayland-dead"),
            Some(&folder),
        ));
        assert_eq!(found, Ok(Display::X11));
        drop(listener);
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_missing_library_names_its_package() {
        let installed = Installed {
            cache: b"\0libX11.so.6\0/lib/libX11.so.6\0".to_vec(),
            folders: Vec::new(),
        };
        assert!(installed.has("libX11.so.6"));
        assert!(!installed.has("libX11.so"));
        assert!(!installed.has("libXi.so.6"));
    }
}
