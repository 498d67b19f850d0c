//! Whole sentences with named holes.

/// What the page says, as one literal that a translator can take as it stands: the holes are
/// named, so that another language may put them in another order, and what a hole holds is
/// escaped. The text itself is HTML: `<b>` is the stress that a sentence carries.
///
/// A case that another language would word in another way is another literal, never a clause that
/// is put behind a part of a sentence. The literals are found by their `say!`.
macro_rules! say {
    ($text:literal $(, $hole:ident = $value:expr)* $(,)?) => {
        // `concat!` keeps `format!` from taking a variable of that name, which nobody escaped.
        ::maud::PreEscaped(format!(
            concat!($text) $(, $hole = ::maud::Render::render(&$value).into_string())*
        ))
    };
}

pub(crate) use say;

#[cfg(test)]
mod tests {
    #[test]
    fn what_a_hole_holds_is_escaped() {
        let name = "<i>&";
        let said = say!("the <b>{name}</b> of {what}", what = 2, name = name);
        assert_eq!(said.into_string(), "the <b>&lt;i&gt;&amp;</b> of 2");
    }
}
