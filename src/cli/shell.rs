//! `completions` and `manpage`: what a shell and `man` are told of the command line, from its own definition.

use std::io;

use clap::{CommandFactory, ValueEnum};
use clap_mangen::Man;

use super::terminal::Stream;
use super::{Arguments, CannotRun, Verdict};

pub const HELP: &str = "\
Examples:
  source <(fitwright completions bash)                  for this session
  fitwright completions bash > ~/.local/share/bash-completion/completions/fitwright
  fitwright completions zsh > ~/.zfunc/_fitwright       a folder of zsh's fpath
  fitwright completions fish > ~/.config/fish/completions/fitwright.fish";

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Shell {
    /// GNU Bash 4 or later
    Bash,
    /// The Z shell
    Zsh,
    /// fish
    Fish,
}

/// The script that makes a shell complete commands, options and their values.
pub fn completions(shell: Shell) -> Result<Verdict, CannotRun> {
    let known = match shell {
        Shell::Bash => clap_complete::Shell::Bash,
        Shell::Zsh => clap_complete::Shell::Zsh,
        Shell::Fish => clap_complete::Shell::Fish,
    };
    let mut script = Vec::new();
    clap_complete::generate(known, &mut Arguments::command(), "fitwright", &mut script);
    print(&script)
}

/// The manual page of the program, or of one of its commands.
pub fn manpage(command: Option<&str>) -> Result<Verdict, CannotRun> {
    let mut program = Arguments::command();
    program.build();
    let meant = match command {
        None => program,
        Some(name) => program.find_subcommand(name).cloned().ok_or_else(|| {
            let known: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
            CannotRun(format!("there is no command `{name}`; there are {}", known.join(", ")))
        })?,
    };
    let cannot = |error: io::Error| CannotRun(format!("the page cannot be made: {}", super::words(&error)));
    let mut page = Vec::new();
    Man::new(meant).manual("Fitwright").render(&mut page).map_err(cannot)?;
    print(&page)
}

fn print(text: &[u8]) -> Result<Verdict, CannotRun> {
    let mut output = Stream::output();
    output.say(&String::from_utf8_lossy(text));
    output.finish()?;
    Ok(Verdict::Clean)
}
