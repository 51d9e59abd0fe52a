//! Every part the program is built from: its licence is one `deny.toml` allows, and all of them are listed in `target/parts.cdx.json`, a bill of
//! materials in CycloneDX 1.5, whenever the tests run.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::{collections::BTreeMap, fs, path::Path, process::Command};

use serde_json::{Value, json};
use spdx::{Expression, ParseMode};

fn root() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// What this machine builds for: the parts of other systems need not be at hand.
fn platform() -> String {
    let told = Command::new("rustc").arg("-vV").output().unwrap();
    let told = String::from_utf8_lossy(&told.stdout);
    told.lines().find_map(|line| line.strip_prefix("host: ")).unwrap().to_owned()
}

fn packages() -> Vec<Value> {
    let told = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version",
            "1",
            "--locked",
            "--offline",
            "--filter-platform",
            &platform(),
        ])
        .current_dir(root())
        .output()
        .unwrap();
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let told: Value = serde_json::from_slice(&told.stdout).unwrap();
    told["packages"].as_array().unwrap().clone()
}

/// What `deny.toml` allows.
fn allowed() -> Vec<String> {
    let rules = fs::read_to_string(root().join("deny.toml")).unwrap();
    let list = rules.split("allow = [").nth(1).unwrap().split(']').next().unwrap();
    list.lines()
        .filter_map(|line| line.trim().strip_prefix('"')?.split('"').next().map(str::to_owned))
        .collect()
}

/// Checksums by name and version, as the lock file has them.
fn checksums() -> BTreeMap<(String, String), String> {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let value = |entry: &str, key: &str| {
        let line = entry.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix(" = \""))?;
        line.strip_suffix('"').map(str::to_owned)
    };
    lock.split("[[package]]")
        .filter_map(|entry| {
            Some(((value(entry, "name")?, value(entry, "version")?), value(entry, "checksum")?))
        })
        .collect()
}

#[test]
fn every_licence_is_allowed() {
    let allowed = allowed();
    assert!(allowed.len() > 5, "{allowed:?}");
    let allows = |licence: &str| -> Result<bool, String> {
        let read = Expression::parse_mode(licence, ParseMode::LAX).map_err(|error| error.to_string())?;
        Ok(read.evaluate(|wanted| allowed.contains(&wanted.to_string())))
    };
    assert_eq!(allows("MIT OR Apache-2.0"), Ok(true));
    assert_eq!(allows("GPL-3.0-only"), Ok(false), "the rule must be able to refuse");
    for package in packages() {
        let (name, licence) = (&package["name"], package["license"].as_str());
        let licence = licence.unwrap_or_else(|| panic!("{name} names no licence"));
        assert_eq!(allows(licence), Ok(true), "{name}: {licence}");
    }
}

#[test]
fn the_bill_of_materials_names_every_part_with_its_checksum() {
    let checksums = checksums();
    let mut parts: Vec<Value> = Vec::new();
    for package in packages() {
        let text = |key: &str| package[key].as_str().unwrap_or_default().to_owned();
        let (name, version) = (text("name"), text("version"));
        // What has no source is our own.
        if package["source"].is_null() {
            continue;
        }
        let checksum = checksums
            .get(&(name.clone(), version.clone()))
            .unwrap_or_else(|| panic!("{name} {version} has no checksum"));
        let named = format!("pkg:cargo/{name}@{version}");
        parts.push(json!({
            "type": "library",
            "bom-ref": named,
            "name": name,
            "version": version,
            "purl": named,
            "hashes": [{ "alg": "SHA-256", "content": checksum }],
            "licenses": [{ "expression": text("license").replace('/', " OR ") }],
        }));
    }
    // The lock file has those of every system; most are of all.
    let count = parts.len();
    assert!(count <= checksums.len() && 3 * count > 2 * checksums.len(), "{count} of {}", checksums.len());
    let bill = json!({
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": { "component": {
            "type": "application",
            "bom-ref": "stillroom",
            "name": "stillroom",
            "version": env!("CARGO_PKG_VERSION"),
        } },
        "components": parts,
    });
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().to_owned();
    let file = folder.join("parts.cdx.json");
    fs::write(&file, serde_json::to_vec_pretty(&bill).unwrap()).unwrap();
    let read: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    assert_eq!(read["components"].as_array().unwrap().len(), count);
}
