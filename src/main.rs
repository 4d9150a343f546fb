//! The program: the window when nothing else was asked for, else the command line.

use std::process::ExitCode;

use pinchpoint::cli;

fn main() -> ExitCode {
    match cli::parse(std::env::args_os().skip(1)) {
        #[cfg(feature = "gui")]
        Ok(cli::Request::Window(file)) => {
            if let Some(code) = cli::absent(file.as_deref()) {
                return code;
            }
            match pinchpoint::ui::run(pinchpoint::ui::Options { file }) {
                Ok(()) => ExitCode::SUCCESS,
                Err(error) => cli::fail(&error),
            }
        }
        Ok(request) => cli::run(&request),
        Err(error) => cli::refuse(&error),
    }
}
