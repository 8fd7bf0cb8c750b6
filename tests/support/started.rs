//! The program as it was built: the one place that knows where it lies, and by what it knows the machine in tests.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The program, to be given its arguments. Its machine is the same in every run, so that what it writes is the same.
pub fn program() -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_shimwright"));
    program.envs(around());
    program
}

/// What stands in the environment of every run: the same machine, and nobody's own defaults.
pub fn around() -> [(&'static str, PathBuf); 2] {
    let machine = machine('7');
    [
        ("XDG_DATA_HOME", machine.to_path_buf()),
        ("XDG_CONFIG_HOME", machine.join("none")),
    ]
}

/// The folder of the data of a user on a machine that is told by a digit.
pub fn machine(digit: char) -> &'static Path {
    static FOLDERS: OnceLock<Vec<PathBuf>> = OnceLock::new();
    let folders = FOLDERS.get_or_init(|| {
        let made = ('0'..='9').map(|digit| {
            let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("machine-{digit}"));
            let file = folder.join("shimwright").join("machine");
            let text = format!("shimwright machine 1\n{}\n", digit.to_string().repeat(64));
            // other tests make it at the same time, and none may read half of it
            if std::fs::read_to_string(&file).ok().as_ref() != Some(&text) {
                let beside = file.with_extension(std::process::id().to_string());
                std::fs::create_dir_all(folder.join("shimwright")).unwrap();
                std::fs::write(&beside, &text).unwrap();
                std::fs::rename(&beside, &file).unwrap();
            }
            folder
        });
        made.collect()
    });
    &folders[digit as usize - '0' as usize]
}
