//! Puts shell, style, script and module into one HTML file that can reach
//! nothing outside itself.

use std::io::Write as _;

use anyhow::{Context, Result, ensure};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use flate2::Compression;
use flate2::write::GzEncoder;
use sha2::{Digest, Sha256};

/// What goes into the file, each as text except the module.
pub struct Parts {
    /// The HTML with the placeholders `{{policy}}`, `{{head}}`, `{{style}}` and `{{script}}`.
    pub shell: String,
    /// The style sheet.
    pub style: String,
    /// The script that `wasm-bindgen` made for its `web` target.
    pub bindings: String,
    /// The script that unpacks and starts the module, with the placeholder `{{module}}`.
    pub boot: String,
    /// The module itself.
    pub wasm: Vec<u8>,
}

impl Parts {
    /// The finished file, for a disk.
    pub fn bundle(&self) -> Result<String> {
        self.bundle_with("", "")
    }

    /// The finished page for a host that has more beside it: with directives that the policy
    /// has beyond those of the file, and with elements in its head.
    pub fn bundle_with(&self, directives: &str, head: &str) -> Result<String> {
        let style = lines(&self.style);
        let script = self.script()?;
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
            "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; {directives}base-uri 'none'; form-action 'none'",
            source(&script),
            source(&style),
        );
        let page = fill(&lines(&self.shell), "policy", &policy)?;
        let page = fill(&page, "head", head)?;
        let page = fill(&page, "style", &style)?;
        fill(&page, "script", &script)
    }

    /// One module script: what `wasm-bindgen` made, then what starts it. The wasm is in it as
    /// text, compressed the way that browsers unpack themselves.
    fn script(&self) -> Result<String> {
        let mut gzip = GzEncoder::new(Vec::new(), Compression::best());
        gzip.write_all(&self.wasm)?;
        let module = BASE64.encode(gzip.finish()?);
        let boot = fill(&lines(&self.boot), "module", &module)?;
        Ok(format!("{}\n{boot}", lines(&self.bindings)))
    }
}

/// Replaces `{{name}}`, which must be there exactly once.
pub fn fill(text: &str, name: &str, value: &str) -> Result<String> {
    let mark = format!("{{{{{name}}}}}");
    let (before, after) = text
        .split_once(&mark)
        .with_context(|| format!("no `{mark}` to fill in"))?;
    ensure!(!after.contains(&mark), "`{mark}` is there more than once");
    Ok([before, value, after].concat())
}

/// Line ends as a browser reads them, which is what it hashes.
pub fn lines(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\r', "\n")
}

/// The source expression of the Content Security Policy that permits a text by its hash
/// (W3C, CSP Level 3, §2.3.1).
fn source(text: &str) -> String {
    format!("'sha256-{}'", BASE64.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use flate2::read::GzDecoder;

    use super::*;

    fn parts() -> Parts {
        Parts {
            shell:
                "<meta content=\"{{policy}}\">{{head}}<style>{{style}}</style><script>{{script}}</script>"
                    .into(),
            style: "p { margin: 0 }\r\n".into(),
            bindings: "export function solve(x) {}\r\n".into(),
            boot: "start(\"{{module}}\")".into(),
            wasm: b"\0asm".to_vec(),
        }
    }

    /// What stands between two texts, each of them once in the page.
    fn between<'a>(page: &'a str, before: &str, after: &str) -> &'a str {
        let (_, rest) = page.split_once(before).expect("it begins");
        rest.split_once(after).expect("it ends").0
    }

    /// The hash of the empty text: FIPS 180-4 example value, as base64.
    #[test]
    fn a_source_is_sha_256_in_base64() {
        assert_eq!(
            source(""),
            "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
        );
    }

    #[test]
    fn the_policy_names_the_hash_of_what_stands_between_the_tags() {
        let page = parts().bundle().expect("bundles");
        let style = between(&page, "<style>", "</style>");
        let script = between(&page, "<script>", "</script>");
        assert!(page.contains(&format!(
            "script-src {} 'wasm-unsafe-eval';",
            source(script)
        )));
        assert!(page.contains(&format!("style-src {};", source(style))));
        assert!(!page.contains('\r'));
        assert!(!page.contains("{{"));
    }

    /// A file from a disk has no permit more than it needs, whatever a site has.
    #[test]
    fn only_a_site_has_more() {
        let file = parts().bundle().expect("bundles");
        assert!(!file.contains("'self'") && !file.contains("<link"));
        let site = parts().bundle_with("worker-src 'self'; ", "<link>");
        let site = site.expect("bundles");
        assert!(site.contains("; worker-src 'self'; base-uri 'none';"));
        assert!(site.contains("\"><link><style>"));
    }

    #[test]
    fn the_module_comes_out_as_it_went_in() {
        let page = parts().bundle().expect("bundles");
        let packed = BASE64
            .decode(between(&page, "start(\"", "\")"))
            .expect("base 64");
        let mut module = Vec::new();
        GzDecoder::new(&packed[..])
            .read_to_end(&mut module)
            .expect("gzip");
        assert_eq!(module, parts().wasm);
    }

    #[test]
    fn text_that_would_end_its_element_is_refused() {
        let mut early = parts();
        early.boot.push_str("const early = \"</script>\";");
        assert!(early.bundle().is_err());
        let mut early = parts();
        early.style.push_str("p::before { content: \"</style>\" }");
        assert!(early.bundle().is_err());
    }

    #[test]
    fn a_missing_placeholder_is_refused() {
        let mut shell = parts();
        shell.shell = "<style>{{style}}</style>".into();
        assert!(shell.bundle().is_err());
    }
}
