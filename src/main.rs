//! The program: the window when nothing else was asked for.

use std::process::ExitCode;

#[cfg(feature = "gui")]
fn main() -> ExitCode {
    match pinchpoint::ui::run(pinchpoint::ui::Options::default()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("pinchpoint: {error}");
            ExitCode::FAILURE
        }
    }
}

#[cfg(not(feature = "gui"))]
fn main() -> ExitCode {
    eprintln!("pinchpoint: this build has no window; build it with the feature `gui`");
    ExitCode::FAILURE
}
