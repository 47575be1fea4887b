//! The holes of a template: `{name}`, `{}`, `{0}`, `{name:.2}`.

use syn::LitStr;

/// A hole.
pub(crate) struct Hole {
    /// The name of what fills it, or its place as a number.
    pub(crate) name: String,
    /// How it is formatted: `:.2`, or nothing.
    pub(crate) form: String,
}

/// The holes of a template, in their order.
///
/// # Errors
/// A brace without its partner, a width or precision that is itself an argument.
pub(crate) fn holes(template: &LitStr) -> syn::Result<Vec<Hole>> {
    let fault = |words: &str| syn::Error::new(template.span(), words);
    let text = template.value();
    let mut chars = text.chars().peekable();
    let (mut found, mut place) = (Vec::new(), 0);
    while let Some(c) = chars.next() {
        match c {
            '{' | '}' if chars.peek() == Some(&c) => drop(chars.next()),
            '{' => {
                let inside: String = chars.by_ref().take_while(|c| *c != '}').collect();
                let (name, form) = inside.split_at(inside.find(':').unwrap_or(inside.len()));
                if form.contains('$') || form.contains('*') {
                    return Err(fault("a width or precision from an argument: format the number first"));
                }
                let name = if name.is_empty() {
                    place += 1;
                    (place - 1).to_string()
                } else {
                    name.to_owned()
                };
                found.push(Hole { name, form: form.to_owned() });
            }
            '}' => return Err(fault("a closing brace without an opening one")),
            _ => {}
        }
    }
    Ok(found)
}
