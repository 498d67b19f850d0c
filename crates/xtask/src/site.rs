//! `cargo xtask site`: the page in a folder for any static host. It can be installed, and once
//! it was opened it opens without a network.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use resvg::{tiny_skia, usvg};
use sha2::{Digest, Sha256};

use crate::bundle::{Parts, fill, lines};
use crate::{page, places};

/// What this page may do beyond the file: have a worker, a manifest and icons of its own host.
const DIRECTIVES: &str = "worker-src 'self'; manifest-src 'self'; img-src 'self'; ";

/// Sizes of the icon as PNG, in pixels: those that phones and laptops ask for (W3C, Web
/// Application Manifest, leaves them open; common practice, no source).
const ICONS: [u32; 2] = [192, 512];

/// Writes the folder that is named, or one beside the page.
pub fn run(arguments: &[String]) -> Result<()> {
    let folder = match arguments {
        [] => folder(),
        [folder] if !folder.starts_with('-') => PathBuf::from(folder),
        _ => bail!("`cargo xtask site` takes a folder to write to, or nothing"),
    };
    write(&page::parts()?, &folder)
}

/// The folder where nothing else is said.
pub fn folder() -> PathBuf {
    places::output().join("site")
}

/// Writes the files, and says where.
pub fn write(parts: &Parts, folder: &Path) -> Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    for (name, bytes) in files(parts)? {
        let file = folder.join(name);
        fs::write(&file, bytes).with_context(|| format!("cannot write {}", file.display()))?;
    }
    println!("{}", folder.display());
    Ok(())
}

/// Every file by its name.
fn files(parts: &Parts) -> Result<BTreeMap<String, Vec<u8>>> {
    let web = places::root().join("web").join("site");
    let worker = lines(&page::read(&web.join("worker.js"))?);
    let head = lines(&page::read(&web.join("head.html"))?);
    let icon = page::read(&web.join("icon.svg"))?;
    let mut kept = BTreeMap::from([("icon.svg".to_owned(), icon.clone().into_bytes())]);
    let manifest = fs::read(web.join("manifest.webmanifest"))?;
    kept.insert("manifest.webmanifest".into(), manifest);
    for size in ICONS {
        kept.insert(format!("icon-{size}.png"), picture(&icon, size)?);
    }

    // The version is the hash of all that it consists of.
    let mut all = Sha256::new();
    all.update(parts.bundle_with(DIRECTIVES, &head)?);
    all.update(&worker);
    for (name, bytes) in &kept {
        all.update(name);
        all.update(bytes);
    }
    let version: String = hexadecimal(&all.finalize()).chars().take(12).collect();

    let page = parts.bundle_with(DIRECTIVES, fill(&head, "version", &version)?.trim_end())?;
    kept.insert("index.html".into(), page.into_bytes());
    let worker = fill(&worker, "version", &version)?;
    let worker = fill(&worker, "files", &hashes(&kept)?)?;

    kept.insert("worker.js".into(), worker.into_bytes());
    for licence in ["LICENSE-MIT", "LICENSE-APACHE"] {
        kept.insert(licence.into(), fs::read(places::root().join(licence))?);
    }
    kept.insert("README.md".into(), readme()?.into_bytes());
    Ok(kept)
}

/// The hash of each file that the worker keeps, as an object in its script. The page is what
/// the folder itself answers with.
fn hashes(kept: &BTreeMap<String, Vec<u8>>) -> Result<String> {
    let hash = |bytes: &Vec<u8>| hexadecimal(&Sha256::digest(bytes));
    let hashes: BTreeMap<&str, String> = (kept.iter())
        .map(|(name, bytes)| match name.as_str() {
            "index.html" => ("./", hash(bytes)),
            name => (name, hash(bytes)),
        })
        .collect();
    Ok(serde_json::to_string_pretty(&hashes)?)
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The icon as PNG.
fn picture(svg: &str, size: u32) -> Result<Vec<u8>> {
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default())?;
    let mut pixels = tiny_skia::Pixmap::new(size, size).context("the icon has no size")?;
    let scale = size as f32 / tree.size().width();
    let scale = tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, scale, &mut pixels.as_mut());
    Ok(pixels.encode_png()?)
}

/// What whoever finds the folder should know: the cautions and the licence of the project's own
/// README.
fn readme() -> Result<String> {
    let project = lines(&page::read(&places::root().join("README.md"))?);
    let (_, cautions) =
        (project.split_once("\n## Cautions\n")).context("the README has no section of cautions")?;
    let (cautions, _) =
        (cautions.split_once("\n## ")).context("the README's cautions are its last section")?;
    ensure!(
        cautions.contains("enough to kill"),
        "the README's cautions do not warn"
    );
    Ok(format!(
        "# Tapwright, for a static host\n\n\
         Put every file of this folder into one folder of any web server that answers over \
         HTTPS (a browser asks for that before it keeps a page). Nothing has to be configured, \
         and nothing runs on the server. For a newer version put the newer files in their \
         place; `worker.js` last.\n\n\
         ## Cautions\n{cautions}\n\
         ## Licence\n\n\
         MIT ([LICENSE-MIT](LICENSE-MIT)) or Apache-2.0 ([LICENSE-APACHE](LICENSE-APACHE)), as you like.\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(wasm: &[u8]) -> Parts {
        Parts {
            shell: "{{policy}}\n{{head}}\n{{style}}{{script}}".into(),
            style: "p { margin: 0 }".into(),
            bindings: String::new(),
            boot: "start(\"{{module}}\")".into(),
            wasm: wasm.to_vec(),
        }
    }

    fn text(files: &BTreeMap<String, Vec<u8>>, name: &str) -> String {
        String::from_utf8(files[name].clone()).expect("a text")
    }

    fn version(files: &BTreeMap<String, Vec<u8>>) -> String {
        let worker = text(files, "worker.js");
        let (_, rest) = worker.split_once("const version = \"").expect("a version");
        rest.split_once('"').expect("it ends").0.to_owned()
    }

    #[test]
    fn a_version_is_what_it_consists_of() {
        let one = files(&parts(b"one")).expect("files");
        assert_eq!(
            version(&one),
            version(&files(&parts(b"one")).expect("files"))
        );
        assert_ne!(
            version(&one),
            version(&files(&parts(b"two")).expect("files"))
        );
        let page = text(&one, "index.html");
        assert!(page.contains(&format!("content=\"{}\"", version(&one))));
        assert!(!page.contains("{{"));
    }

    /// What the worker checks is what lies in the folder.
    #[test]
    fn the_worker_knows_each_file_that_it_keeps() {
        let files = files(&parts(b"one")).expect("files");
        let worker = text(&files, "worker.js");
        for name in [
            "index.html",
            "manifest.webmanifest",
            "icon.svg",
            "icon-192.png",
            "icon-512.png",
        ] {
            let hash = hexadecimal(&Sha256::digest(&files[name]));
            assert!(worker.contains(&hash), "{name}");
        }
        // A worker that listed itself could never change.
        assert!(!worker.contains("\"worker.js\""));
    }

    /// Each icon of the manifest is there, and as large as the manifest says.
    #[test]
    fn the_manifest_names_files_that_are_there() {
        let files = files(&parts(b"one")).expect("files");
        let manifest: serde_json::Value =
            serde_json::from_slice(&files["manifest.webmanifest"]).expect("JSON");
        for icon in manifest["icons"].as_array().expect("icons") {
            let name = icon["src"].as_str().expect("a file");
            let bytes = files.get(name).unwrap_or_else(|| panic!("no {name}"));
            if name.ends_with(".png") {
                let pixels = tiny_skia::Pixmap::decode_png(bytes).expect("a PNG");
                let size = format!("{}x{}", pixels.width(), pixels.height());
                assert_eq!(icon["sizes"], size.as_str());
            }
        }
    }

    #[test]
    fn cautions_and_licences_are_in_it() {
        let files = files(&parts(b"one")).expect("files");
        let readme = text(&files, "README.md");
        assert!(
            readme.contains("discharge the filter capacitors") && readme.contains("LICENSE-MIT")
        );
        assert!(!readme.contains("## Cautions\n\n\n"), "{readme}");
        assert!(files.contains_key("LICENSE-MIT") && files.contains_key("LICENSE-APACHE"));
    }
}
