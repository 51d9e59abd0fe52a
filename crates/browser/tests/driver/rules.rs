//! The accessibility rules, tried on a page.

use std::{fs, process::Command};

use super::Browser;

/// The rules of axe-core, fetched by the package manager for this test alone; none with a printed line where they cannot be had.
pub(crate) fn accessibility_rules() -> Option<String> {
    const PACKAGE: &str = "axe-core@4.14.1";
    let folder = std::env::temp_dir().join("stillroom-axe-core-4.14.1");
    let file = folder.join("package/axe.min.js");
    if !file.exists() {
        let mine = std::env::temp_dir().join(format!(
            "stillroom-axe-{}-{:?}",
            std::process::id(),
            std::thread::current().id()
        ));
        fs::create_dir_all(&mine).ok()?;
        let packed = Command::new("npm").args(["pack", "--silent", PACKAGE]).current_dir(&mine).output();
        let unpacked = packed.is_ok_and(|done| done.status.success())
            && Command::new("tar")
                .args(["xzf", "axe-core-4.14.1.tgz"])
                .current_dir(&mine)
                .status()
                .is_ok_and(|s| s.success());
        if unpacked {
            let _ = fs::rename(&mine, &folder);
        }
    }
    let rules = fs::read_to_string(&file).ok();
    if rules.is_none() {
        eprintln!(
            "SKIPPED: {PACKAGE} cannot be had from the package registry; the accessibility rules were not tried."
        );
    }
    rules
}

/// Fails on a serious or critical finding.
pub(crate) fn serious(browser: &Browser, rules: &str, place: &str) {
    browser.run(rules);
    let found = browser.run_later("axe.run(document, { resultTypes: ['violations'] }).then((result) => done(result.violations.filter((one) => ['serious', 'critical'].includes(one.impact)).map((one) => `${one.id}: ${one.help}: ${one.nodes.slice(0, 4).map((node) => node.html.slice(0, 160)).join(' | ')}`)))");
    let found: Vec<&str> = found.as_array().into_iter().flatten().filter_map(|one| one.as_str()).collect();
    assert!(found.is_empty(), "{place}: {found:#?}");
}
