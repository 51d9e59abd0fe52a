//! Tells the program the commit it is built from. Outside a repository, or without the program that reads one, it is `unknown`;
//! whoever builds from an archive can set `STILLROOM_COMMIT`.

#![allow(clippy::print_stdout, reason = "what cargo is told is printed")]

use std::{path::Path, process::Command};

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-env-changed=STILLROOM_COMMIT");
    let given = std::env::var("STILLROOM_COMMIT").ok().filter(|commit| plain(commit));
    let commit = given.or_else(|| {
        // The head names a branch or a commit; the log of the head changes with every commit.
        for file in ["HEAD", "logs/HEAD"] {
            let path = git(&["rev-parse", "--git-path", file])?;
            if Path::new(&path).exists() {
                println!("cargo:rerun-if-changed={path}");
            }
        }
        git(&["rev-parse", "--short=12", "HEAD"]).filter(|commit| plain(commit))
    });
    println!("cargo:rustc-env=STILLROOM_COMMIT={}", commit.as_deref().unwrap_or("unknown"));
}

fn git(arguments: &[&str]) -> Option<String> {
    let output = Command::new("git").args(arguments).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    output.status.success().then(|| text.trim().to_owned())
}

fn plain(commit: &str) -> bool {
    !commit.is_empty() && commit.len() <= 64 && commit.bytes().all(|byte| byte.is_ascii_alphanumeric())
}
