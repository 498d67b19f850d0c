//! Puts shell, style, script and module into one HTML file that can reach
//! nothing outside itself.

use anyhow::{Context, Result, bail, ensure};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest, Sha256};

use crate::pack;

/// What goes into the file, each as text except the module.
pub struct Parts {
    /// The HTML with the placeholders `{{policy}}`, `{{style}}` and `{{script}}`.
    pub shell: String,
    /// The style sheet that stands open, for a page that has not started.
    pub open_style: String,
    /// The style sheet of the page, which is packed.
    pub style: String,
    /// The script that unpacks and starts the rest, with `{{packed}}`, the `{{length}}`
    /// of that in bytes, the `{{size}}` of what comes out, and where in that the script
    /// ends, `{{split}}`, the style begins, `{{styled}}`, and ends, `{{module}}`, and the
    /// module begins, `{{start}}`.
    pub boot: String,
    /// The script that `wasm-bindgen` made for its `web` target.
    pub bindings: String,
    /// The module itself.
    pub wasm: Vec<u8>,
}

/// Names that a binding script exports for starting it, not for using it.
const STARTERS: [&str; 3] = ["initSync", "default", "start"];

impl Parts {
    /// The finished file, in UTF-16 with the mark that says so: a browser heeds that before
    /// anything else.
    pub fn bundle(&self) -> Result<Vec<u8>> {
        Ok(pack::utf16(&format!("\u{FEFF}{}", self.text()?)))
    }

    fn text(&self) -> Result<String> {
        let style = short_style(&self.style)?;
        let open_style = short_style(&self.open_style)?;
        let bindings = self.bindings()?;
        let script = self.script(&bindings, &style)?;
        // Either would end the element early, and the browser would show the
        // rest as text.
        ensure!(
            !open_style.contains("</style"),
            "the style sheet contains `</style`"
        );
        for poison in ["</script", "<!--"] {
            ensure!(!script.contains(poison), "the script contains `{poison}`");
        }
        // A browser ignores hashes when it sees 'unsafe-inline', and allows
        // nothing that is not named: no request of any kind has a permit here.
        let policy = format!(
            "default-src 'none'; script-src {} {} 'wasm-unsafe-eval'; style-src {} {}; base-uri 'none'; form-action 'none'",
            sources(&script),
            sources(&bindings),
            sources(&open_style),
            sources(&style),
        );
        let page = fill(&lines(&self.shell), "policy", &policy)?;
        let page = fill(&page, "style", &open_style)?;
        fill(&page, "script", &script)
    }

    /// The binding script as a classic one, which runs at once where it is put in. What
    /// it offers is left at its element.
    fn bindings(&self) -> Result<String> {
        let bindings = lines(&self.bindings);
        let names = exports(&bindings);
        let inner: Vec<&str> = bindings
            .lines()
            .filter(|line| !line.starts_with("export {"))
            .map(|line| line.strip_prefix("export ").unwrap_or(line))
            .collect();
        shorten(&format!(
            "document.currentScript.bound = (() => {{\n{}\nreturn [initSync, {{ {} }}];\n}})();",
            inner.join("\n"),
            names.join(", ")
        ))
    }

    /// The script that stands in the page; it carries the other one, the style and the module.
    fn script(&self, bindings: &str, style: &str) -> Result<String> {
        let unpacked = [bindings.as_bytes(), style.as_bytes(), &self.wasm].concat();
        let packed = pack::lzma(&unpacked)?;
        let split = bindings.len().to_string();
        let module = (bindings.len() + style.len()).to_string();
        let boot = shorten(&lines(&self.boot))?;
        let boot = fill(&boot, "length", &packed.len().to_string())?;
        let boot = fill(&boot, "size", &unpacked.len().to_string())?;
        let boot = fill(&boot, "split", &split)?;
        let boot = fill(&boot, "styled", &split)?;
        let boot = fill(&boot, "module", &module)?;
        let boot = fill(&boot, "start", &module)?;
        fill(&boot, "packed", &pack::letters(&packed))
    }
}

fn short_style(style: &str) -> Result<String> {
    let style = lines(style);
    match minifier::css::minify(&style) {
        Ok(short) => Ok(short.to_string()),
        Err(reason) => bail!("a style sheet cannot be shortened: {reason}"),
    }
}

fn shorten(script: &str) -> Result<String> {
    match minifier::js::minify(script) {
        Ok(short) => Ok(short.to_string()),
        Err(reason) => bail!("a script cannot be shortened: {reason}"),
    }
}

/// The functions and classes that a binding script offers, less its starters.
fn exports(bindings: &str) -> Vec<&str> {
    let mut names = Vec::new();
    for line in bindings.lines() {
        let declared = ["export function ", "export class "]
            .iter()
            .find_map(|lead| line.strip_prefix(lead));
        if let Some(declared) = declared {
            let end = declared
                .find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '$'))
                .unwrap_or(declared.len());
            let name = &declared[..end];
            if !STARTERS.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}

/// Replaces `{{name}}`, which must be there exactly once.
fn fill(text: &str, name: &str, value: &str) -> Result<String> {
    let mark = format!("{{{{{name}}}}}");
    let (before, after) = text
        .split_once(&mark)
        .with_context(|| format!("no `{mark}` to fill in"))?;
    ensure!(!after.contains(&mark), "`{mark}` is there more than once");
    Ok([before, value, after].concat())
}

/// Line ends as a browser reads them, which is what it hashes.
fn lines(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\r', "\n")
}

/// The source expressions of the Content Security Policy that permit a text (W3C, CSP Level
/// 3, §2.3.1): by its hash in UTF-8, as the standard has it, and by that in the encoding of
/// the page, for an engine that takes that one (from memory).
fn sources(text: &str) -> String {
    format!(
        "'{}' '{}'",
        digest(text.as_bytes()),
        digest(&pack::utf16(text))
    )
}

fn digest(bytes: &[u8]) -> String {
    format!("sha256-{}", BASE64.encode(Sha256::digest(bytes)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts() -> Parts {
        Parts {
            shell: "<meta content=\"{{policy}}\"><style>{{style}}</style><script>{{script}}</script>"
                .into(),
            open_style: "p { margin: 0 }\r\n".into(),
            style: "b { margin: 0 }\r\n".into(),
            boot: "start(\"{{packed}}\", {{length}}, {{size}}, {{split}}, {{styled}}, {{module}}, {{start}})".into(),
            bindings: "export function solve(x) {}\nexport function start() {}\nexport { initSync, __wbg_init as default };"
                .into(),
            wasm: b"\0asm".to_vec(),
        }
    }

    #[test]
    fn what_is_exported_is_found_and_the_starters_are_not() {
        assert_eq!(exports(&parts().bindings), ["solve"]);
    }

    /// The hash of the empty text: FIPS 180-4 example value, as base64.
    #[test]
    fn a_digest_is_sha_256_in_base64() {
        assert_eq!(
            digest(b""),
            "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="
        );
    }

    #[test]
    fn the_policy_names_the_hash_of_what_stands_between_the_tags() {
        let page = parts().text().expect("bundles");
        let style = page
            .split_once("<style>")
            .and_then(|(_, rest)| rest.split_once("</style>"))
            .map(|(style, _)| style)
            .expect("has a style");
        let packed = sources(&short_style(&parts().style).expect("short"));
        assert!(page.contains(&format!("style-src {} {packed};", sources(style))));
        assert!(!style.contains('\r'));
        assert!(!page.contains("{{"));
    }

    /// The byte order mark, U+FEFF with its least significant byte first (RFC 2781, 3.2).
    #[test]
    fn the_file_says_how_it_is_encoded() {
        let page = parts().bundle().expect("bundles");
        assert_eq!(page[..4], [0xFF, 0xFE, b'<', 0]);
    }

    #[test]
    fn text_that_would_end_its_element_is_refused() {
        let mut early = parts();
        early.boot.push_str("const early = \"</script>\";");
        assert!(early.bundle().is_err());
        let mut early = parts();
        early
            .open_style
            .push_str("p::before { content: \"</style>\" }");
        assert!(early.bundle().is_err());
    }

    #[test]
    fn a_missing_placeholder_is_refused() {
        let mut shell = parts();
        shell.shell = "<style>{{style}}</style>".into();
        assert!(shell.bundle().is_err());
    }
}
