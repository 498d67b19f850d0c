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
    /// The style sheet, with the comment [`OPEN`] in it.
    pub style: String,
    /// The script that unpacks and starts the rest, with `{{packed}}`, the `{{length}}`
    /// of that in bytes, the `{{size}}` of what comes out, and where in it the style ends
    /// and the script begins, `{{style}}` and `{{script}}`, and likewise after that,
    /// `{{end}}` and `{{start}}`.
    pub boot: String,
    /// The script that `wasm-bindgen` made for its `web` target.
    pub bindings: String,
    /// The module itself.
    pub wasm: Vec<u8>,
}

/// Names that a binding script exports for starting it, not for using it.
const STARTERS: [&str; 3] = ["initSync", "default", "start"];

/// The last comment of the style that stands open in the file. A page that cannot start
/// needs no more of it.
const OPEN: &str = "/* Down to here";

impl Parts {
    /// The finished file.
    pub fn bundle(&self) -> Result<String> {
        let (style, rest) = self.style()?;
        let bindings = self.bindings()?;
        let script = self.script(&rest, &bindings)?;
        // Either would end the element early, and the browser would show the
        // rest as text.
        ensure!(
            !style.contains("</style"),
            "the style sheet contains `</style`"
        );
        for poison in ["</script", "<!--"] {
            ensure!(!script.contains(poison), "the script contains `{poison}`");
        }
        // A browser ignores hashes when it sees 'unsafe-inline', and allows
        // nothing that is not named: no request of any kind has a permit here.
        let policy = format!(
            "default-src 'none'; script-src '{}' '{}' 'wasm-unsafe-eval'; style-src '{}' '{}'; base-uri 'none'; form-action 'none'",
            digest(&script),
            digest(&bindings),
            digest(&style),
            digest(&rest),
        );
        let page = fill(&lines(&self.shell), "policy", &policy)?;
        let page = fill(&page, "style", &style)?;
        fill(&page, "script", &script)
    }

    /// The style that stands open in the file, and the rest.
    fn style(&self) -> Result<(String, String)> {
        let style = lines(&self.style);
        let at = style
            .find(OPEN)
            .with_context(|| format!("the style sheet has no `{OPEN}`"))?;
        let (open, rest) = style.split_at(at);
        let shorten = |part| match minifier::css::minify(part) {
            Ok(short) => Ok(short.to_string()),
            Err(reason) => bail!("the style sheet cannot be shortened: {reason}"),
        };
        Ok((shorten(open)?, shorten(rest)?))
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

    /// The script that stands in the page; it carries the rest of the style, the other
    /// script and the module.
    fn script(&self, style: &str, bindings: &str) -> Result<String> {
        let unpacked = [style.as_bytes(), bindings.as_bytes(), &self.wasm].concat();
        let packed = pack::lzma(&unpacked)?;
        let styled = style.len().to_string();
        let bound = (style.len() + bindings.len()).to_string();
        let mut boot = shorten(&lines(&self.boot))?;
        for (name, value) in [
            ("length", packed.len().to_string()),
            ("size", unpacked.len().to_string()),
            ("style", styled.clone()),
            ("script", styled),
            ("end", bound.clone()),
            ("start", bound),
            ("packed", pack::letters(&packed)),
        ] {
            boot = fill(&boot, name, &value)?;
        }
        Ok(boot)
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

/// A source expression of the Content Security Policy (W3C, CSP Level 3, §2.3.1).
fn digest(text: &str) -> String {
    format!("sha256-{}", BASE64.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts() -> Parts {
        Parts {
            shell: "<meta content=\"{{policy}}\"><style>{{style}}</style><script>{{script}}</script>"
                .into(),
            style: "p { margin: 0 }\r\n/* Down to here */ b { margin: 0 }".into(),
            boot: "start(\"{{packed}}\", {{length}}, {{size}}, {{style}}, {{script}}, {{end}}, {{start}})".into(),
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
            digest(""),
            "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="
        );
    }

    #[test]
    fn the_policy_names_the_hash_of_what_stands_between_the_tags() {
        let page = parts().bundle().expect("bundles");
        let style = page
            .split_once("<style>")
            .and_then(|(_, rest)| rest.split_once("</style>"))
            .map(|(style, _)| style)
            .expect("has a style");
        let (open, rest) = parts().style().expect("splits");
        assert_eq!(open, style);
        assert_eq!(rest.trim_start(), "b{margin:0}");
        let rest = digest(&rest);
        assert!(page.contains(&format!("style-src '{}' '{rest}'", digest(style))));
        assert!(!style.contains('\r'));
        assert!(!page.contains("{{"));
    }

    #[test]
    fn text_that_would_end_its_element_is_refused() {
        let mut early = parts();
        early.boot.push_str("const early = \"</script>\";");
        assert!(early.bundle().is_err());
        let mut early = parts();
        early
            .style
            .insert_str(0, "p::before { content: \"</style>\" }");
        assert!(early.bundle().is_err());
    }

    #[test]
    fn a_missing_placeholder_is_refused() {
        let mut shell = parts();
        shell.shell = "<style>{{style}}</style>".into();
        assert!(shell.bundle().is_err());
    }
}
