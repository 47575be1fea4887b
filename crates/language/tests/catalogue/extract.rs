//! Every sentence that the code says through the catalogue, found in the sources themselves.

use polib::catalog::Catalog;
use polib::message::Message;
use polib::metadata::CatalogMetadata;
use proc_macro2::{Delimiter, Group, TokenStream, TokenTree};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::str::FromStr as _;

#[path = "hints.rs"]
mod hints;
#[path = "tables.rs"]
mod tables;

/// A sentence, and the files that say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sentence {
    /// What tells it apart from an equal English text.
    pub(crate) context: String,
    /// The text, or the one about a single thing.
    pub(crate) one: String,
    /// The text about several things, where things are counted.
    pub(crate) many: Option<String>,
    /// Where it is said.
    pub(crate) files: Vec<String>,
}

/// The folder of the workspace.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the workspace is there")
}

/// Every sentence, by file and place, each once.
pub(crate) fn sentences() -> Vec<Sentence> {
    let mut found: Vec<Sentence> = Vec::new();
    let mut known = BTreeMap::new();
    let tables = files("/data/", ".toml").into_iter().map(|file| (tables::texts(&read(&file)), file));
    let sources = files("/src/", ".rs").into_iter().map(|file| {
        let mut said = Vec::new();
        walk(TokenStream::from_str(&read(&file)).expect("a source is Rust"), &mut said);
        (said, file)
    });
    let typed: Vec<(String, String)> = files("/src/", "_file.rs").into_iter().map(|file| (read(&file), file)).collect();
    let all: String = typed.iter().map(|(text, _)| text.as_str()).collect();
    let hints = typed.iter().map(|(text, file)| (hints::texts(text, &all), file.clone()));
    for (said, file) in sources.chain(tables).chain(hints) {
        for (context, one, many) in said {
            let key = (context.clone(), one.clone(), many.is_some());
            let at = *known.entry(key).or_insert_with(|| {
                found.push(Sentence { context, one, many, files: Vec::new() });
                found.len() - 1
            });
            if !found[at].files.contains(&file) {
                found[at].files.push(file.clone());
            }
        }
    }
    found
}

fn read(file: &str) -> String {
    std::fs::read_to_string(root().join(file)).expect("a file is readable")
}

/// The files of the crates in such a folder with such an end, with `/` between folders, in order.
fn files(folder: &str, end: &str) -> Vec<String> {
    let mut files = Vec::new();
    let mut folders = vec![root().join("crates")];
    while let Some(open) = folders.pop() {
        for entry in std::fs::read_dir(open).expect("a folder is readable").flatten() {
            let path = entry.path();
            let within = path.strip_prefix(root()).expect("within the workspace").to_string_lossy().replace('\\', "/");
            let ours =
                !within.starts_with("crates/language") && !within.ends_with("/tests") && !within.ends_with("/benches");
            match path.is_dir() {
                true if ours => folders.push(path),
                false if ours && within.contains(folder) && within.ends_with(end) => files.push(within),
                _ => {}
            }
        }
    }
    files.sort();
    files
}

/// A context, the text, and the text about several things.
type Said = (String, String, Option<String>);

fn walk(tokens: TokenStream, said: &mut Vec<Said>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    for (at, tree) in trees.iter().enumerate() {
        let TokenTree::Group(group) = tree else { continue };
        match called(&trees[..at]) {
            Some(name) if group.delimiter() != Delimiter::None => said.extend(sentence(&name, group)),
            None if gives_source(&trees[..at], &["judgement", "computed"]) => said.extend(source(group)),
            None if gives_source(&trees[..at], &["seen", "second_hand", "memory"]) => said.extend(cited(group)),
            _ => {}
        }
        walk(group.stream(), said);
    }
}

/// The macro that is called with what follows.
fn called(before: &[TokenTree]) -> Option<String> {
    match before {
        [.., TokenTree::Ident(name), TokenTree::Punct(mark)] if mark.as_char() == '!' => {
            Some(name.to_string()).filter(|name| name == "say" || name == "say_count")
        }
        _ => None,
    }
}

/// Whether what follows is what a number rests on, given as a table gives it in one of these ways.
fn gives_source(before: &[TokenTree], ways: &[&str]) -> bool {
    let [.., TokenTree::Ident(kind), TokenTree::Punct(_), TokenTree::Punct(_), TokenTree::Ident(how)] = before else {
        return false;
    };
    kind == "Source" && ways.iter().any(|way| how == way)
}

/// What is not a title in a citation.
fn cited(group: &Group) -> Vec<Said> {
    let literals = group.stream().into_iter().filter(|tree| matches!(tree, TokenTree::Literal(_)));
    let texts = literals.filter_map(|tree| text(&tree));
    texts.filter(|text| tables::describes(text)).map(tables::said).collect()
}

fn source(group: &Group) -> Option<Said> {
    let text = text(&group.stream().into_iter().next()?)?;
    tables::is_words(&text).then(|| tables::said(text))
}

fn sentence(name: &str, group: &Group) -> Option<Said> {
    let trees: Vec<TokenTree> = group.stream().into_iter().collect();
    let (context, rest) = match trees.as_slice() {
        [TokenTree::Ident(word), context, _comma, rest @ ..] if word == "in" => (text(context)?, rest),
        rest => (String::new(), rest),
    };
    if name == "say" {
        return Some((context, text(rest.first()?)?, None));
    }
    // Two templates follow the number.
    let parts: Vec<&[TokenTree]> =
        rest.split(|tree| matches!(tree, TokenTree::Punct(mark) if mark.as_char() == ',')).collect();
    let template = |at: usize| parts.get(at).and_then(|part| part.first()).and_then(text);
    Some((context, template(1)?, Some(template(2)?)))
}

fn text(tree: &TokenTree) -> Option<String> {
    let tree = match tree {
        // A literal that came through another macro is in an invisible group.
        TokenTree::Group(group) => group.stream().into_iter().next()?,
        tree => tree.clone(),
    };
    syn::parse2::<syn::LitStr>(TokenStream::from(tree)).ok().map(|literal| literal.value())
}

/// A catalogue of `sentences` in `language`, with the translations that `known` has.
pub(crate) fn catalogue(sentences: &[Sentence], language: &str, known: &[Catalog]) -> Catalog {
    let header = format!(
        "Project-Id-Version: sabulo\nLanguage: {language}\nMIME-Version: 1.0\nContent-Type: text/plain; \
         charset=UTF-8\nContent-Transfer-Encoding: 8bit\nPlural-Forms: nplurals=2; plural=(n != 1);\n"
    );
    let mut made = Catalog::new(CatalogMetadata::parse(&header).expect("a header"));
    for sentence in sentences {
        made.append_or_update(message(sentence, known));
    }
    made
}

fn message(sentence: &Sentence, known: &[Catalog]) -> Message {
    let context = Some(sentence.context.as_str()).filter(|context| !context.is_empty());
    let many = sentence.many.as_deref();
    let found = known.iter().find_map(|catalogue| {
        catalogue.find_message(context, &sentence.one, many).filter(|message| message.is_translated())
    });
    let mut made = match many {
        Some(_) => Message::build_plural(),
        None => Message::build_singular(),
    };
    made.with_source(sentence.files.join("\n")).with_msgid(sentence.one.clone());
    if let Some(context) = context {
        made.with_msgctxt(context.to_owned());
    }
    match many {
        Some(many) => {
            let forms = found.and_then(|message| message.msgstr_plural().ok().cloned());
            let forms = forms.unwrap_or_else(|| vec![String::new(); 2]);
            made.with_msgid_plural(many.to_owned()).with_msgstr_plural(forms)
        }
        None => made.with_msgstr(found.and_then(|message| message.msgstr().ok()).unwrap_or_default().to_owned()),
    };
    made.done()
}

/// A catalogue as the text of its file.
pub(crate) fn written(catalogue: &Catalog) -> String {
    let mut writer = std::io::BufWriter::new(Vec::new());
    polib::po_file::write(catalogue, &mut writer).expect("writing to memory");
    String::from_utf8(writer.into_inner().expect("writing to memory")).expect("text")
}
