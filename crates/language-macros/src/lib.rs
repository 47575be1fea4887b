//! The two macros of the crate `language`; they are documented there.
//!
//! A sentence stands in the code in English, as in `format!`, and is its own key in the catalogue. So the
//! compiler checks the English one as ever, and whoever reads the code reads the sentence.

mod template;

use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use std::collections::BTreeSet;
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::{Expr, Ident, LitStr, Token};
use template::{Hole, holes};

/// `say!("The roll is {width} wide")`, `say!(in "a button", "open")`: see the crate `language`.
#[proc_macro]
pub fn say(tokens: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let said = syn::parse_macro_input!(tokens as Said);
    said.expanded().unwrap_or_else(syn::Error::into_compile_error).into()
}

/// `say_count!(n, "{n} stage", "{n} stages")`: see the crate `language`.
#[proc_macro]
pub fn say_count(tokens: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let counted = syn::parse_macro_input!(tokens as Counted);
    counted.expanded().unwrap_or_else(syn::Error::into_compile_error).into()
}

/// What tells two equal English texts apart: `in "a button",`.
struct Context(Option<LitStr>);

impl Parse for Context {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        if !input.peek(Token![in]) {
            return Ok(Self(None));
        }
        input.parse::<Token![in]>()?;
        let context = input.parse()?;
        input.parse::<Token![,]>()?;
        Ok(Self(Some(context)))
    }
}

impl Context {
    fn tokens(&self) -> TokenStream {
        self.0.as_ref().map_or_else(|| quote!(""), |context| quote!(#context))
    }
}

/// An argument of a template: `value`, or `name = value`.
struct Argument {
    name: Option<Ident>,
    value: Expr,
}

impl Parse for Argument {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        let named = input.peek(Ident) && input.peek2(Token![=]) && !input.peek2(Token![==]);
        let name = if named { Some(input.parse()?) } else { None };
        if named {
            input.parse::<Token![=]>()?;
        }
        Ok(Self { name, value: input.parse()? })
    }
}

type Arguments = Punctuated<Argument, Token![,]>;

fn arguments(input: ParseStream) -> syn::Result<Arguments> {
    if input.is_empty() {
        return Ok(Punctuated::new());
    }
    input.parse::<Token![,]>()?;
    Punctuated::parse_terminated(input)
}

struct Said {
    context: Context,
    template: LitStr,
    arguments: Arguments,
}

impl Parse for Said {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        Ok(Self { context: input.parse()?, template: input.parse()?, arguments: arguments(input)? })
    }
}

impl Said {
    fn expanded(&self) -> syn::Result<TokenStream> {
        let (context, template) = (self.context.tokens(), &self.template);
        let holes = holes(template)?;
        if holes.is_empty() && self.arguments.is_empty() {
            // Without a hole, the text is there already in every language.
            let text = LitStr::new(&template.value().replace("{{", "{").replace("}}", "}"), template.span());
            return Ok(quote!(::language::text(#context, #template).unwrap_or(#text)));
        }
        let english = english(template, &self.arguments);
        let filled = filled(&holes, &self.arguments, template)?;
        Ok(quote! {
            match ::language::text(#context, #template) {
                ::core::option::Option::None => #english,
                ::core::option::Option::Some(said) => ::language::fill(said, &[#(#filled),*]),
            }
        })
    }
}

struct Counted {
    context: Context,
    number: Expr,
    one: LitStr,
    many: LitStr,
    arguments: Arguments,
}

impl Parse for Counted {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        let context = input.parse()?;
        let number = input.parse()?;
        input.parse::<Token![,]>()?;
        let one = input.parse()?;
        input.parse::<Token![,]>()?;
        let many = input.parse()?;
        Ok(Self { context, number, one, many, arguments: arguments(input)? })
    }
}

impl Counted {
    fn expanded(&self) -> syn::Result<TokenStream> {
        let (context, number, one, many) = (self.context.tokens(), &self.number, &self.one, &self.many);
        let mut seen = BTreeSet::new();
        let all = holes(one)?.into_iter().chain(holes(many)?);
        let holes: Vec<Hole> = all.filter(|hole| seen.insert(hole.name.clone())).collect();
        let arguments = &self.arguments;
        // A form may leave out what the other one names: "one stage", "{n} stages".
        let (english_one, english_many) = (english_part(one, arguments)?, english_part(many, arguments)?);
        let filled = filled(&holes, arguments, many)?;
        Ok(quote! {{
            let counted = ::language::Count::count(#number);
            match ::language::counted(#context, #one, #many, counted) {
                ::core::option::Option::None if counted == 1 => #english_one,
                ::core::option::Option::None => #english_many,
                ::core::option::Option::Some(said) => ::language::fill(said, &[#(#filled),*]),
            }
        }})
    }
}

/// The English text, made and checked by `format!`.
fn english(template: &LitStr, arguments: &Arguments) -> TokenStream {
    let given = arguments.iter().map(|Argument { name, value }| match name {
        Some(name) => quote!(#name = #value),
        None => quote!(#value),
    });
    quote!(::std::format!(#template, #(#given),*))
}

/// As [`english`], with those named arguments alone that this template has a hole for.
fn english_part(template: &LitStr, arguments: &Arguments) -> syn::Result<TokenStream> {
    let names: Vec<String> = holes(template)?.into_iter().map(|hole| hole.name).collect();
    let used = |argument: &&Argument| argument.name.as_ref().is_none_or(|name| names.contains(&name.to_string()));
    let given = arguments.iter().filter(used).map(|Argument { name, value }| match name {
        Some(name) => quote!(#name = #value),
        None => quote!(#value),
    });
    Ok(quote!(::std::format!(#template, #(#given),*)))
}

/// A name and a text for each hole, for a template that is known when the program runs.
fn filled(holes: &[Hole], arguments: &Arguments, template: &LitStr) -> syn::Result<Vec<TokenStream>> {
    let mut done = BTreeSet::new();
    let fresh = holes.iter().filter(|hole| done.insert(hole.name.clone()));
    fresh.map(|hole| one_filled(hole, arguments, template)).collect()
}

fn one_filled(hole: &Hole, arguments: &Arguments, template: &LitStr) -> syn::Result<TokenStream> {
    let (name, form) = (&hole.name, LitStr::new(&format!("{{{}}}", hole.form), template.span()));
    let value = match name.parse::<usize>() {
        Ok(place) => {
            let argument = arguments.iter().nth(place).map(|argument| &argument.value);
            let missing = || syn::Error::new(template.span(), format!("no argument for {{{name}}}"));
            let value = argument.ok_or_else(missing)?;
            quote!(#value)
        }
        Err(_) => match arguments.iter().find(|argument| argument.name.as_ref().is_some_and(|known| known == name)) {
            Some(Argument { value, .. }) => quote!(#value),
            None => {
                let captured = format_ident!("{name}", span = template.span());
                quote!(#captured)
            }
        },
    };
    // With a precision it is a number, and numbers have the reader's decimal mark.
    match hole.form.contains('.') {
        true => Ok(quote!((#name, ::language::number(::std::format!(#form, #value))))),
        false => Ok(quote!((#name, ::std::format!(#form, #value)))),
    }
}
