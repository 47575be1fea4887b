//! Who may ask for what. What is not named here is not allowed to anybody from the network.

use super::Role;
use axum::http::Method;

/// Who asks from the network. Somebody at this computer's own door may ask for everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Who {
    /// A device that was paired.
    Paired(Role),
    /// A device that was not.
    Nobody,
}

/// Whether somebody may ask for a path of this server.
pub(crate) fn may(who: Who, method: &Method, path: &str) -> bool {
    match who {
        Who::Paired(Role::Owner) => !here_alone(path),
        Who::Paired(Role::Helper) => open(method, path) || helpers(method, path),
        Who::Nobody => open(method, path),
    }
}

fn reads(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD)
}

/// What hands out keys, and what replaces everything: done at this computer alone. A key that was overheard on the
/// network must not be able to make others, or to put the owner's data aside.
fn here_alone(path: &str) -> bool {
    path == "/pair" || path.starts_with("/pair/") || path == "/keep/restore"
}

/// What a device needs that is not paired yet; it may choose the language of its own pages.
fn open(method: &Method, path: &str) -> bool {
    path == "/enter"
        || (path == "/language" && *method == Method::POST)
        || (reads(method) && path.starts_with("/static/"))
}

/// The cabinet's pages, the pictures of a piece, its logs, and the language of this device.
fn helpers(method: &Method, path: &str) -> bool {
    let parts: Vec<&str> = path.split('/').skip(1).collect();
    let read = reads(method);
    match parts.as_slice() {
        ["cabinet"] | ["cabinet", _] | ["piece", _, "stages", _] | ["piece", _, "preview.png" | "drawn.svg"] => read,
        ["api", "pieces", _, "logs"] => read || *method == Method::POST,
        ["leave" | "language"] => *method == Method::POST,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn allowed(method: &Method, path: &str) -> String {
        let all = [('o', Who::Paired(Role::Owner)), ('c', Who::Paired(Role::Helper)), ('n', Who::Nobody)];
        all.into_iter().filter(|(_, who)| may(*who, method, path)).map(|(letter, _)| letter).collect()
    }

    #[test]
    fn each_rule() {
        // Letters: owner, helper at the cabinet, nobody.
        for (method, path, expected) in [
            (Method::GET, "/static/page.css", "ocn"),
            (Method::POST, "/static/page.css", "o"),
            (Method::GET, "/enter", "ocn"),
            (Method::POST, "/enter", "ocn"),
            (Method::GET, "/enter/", "o"),
            (Method::POST, "/language", "ocn"),
            (Method::GET, "/language", "o"),
            (Method::GET, "/cabinet", "oc"),
            (Method::GET, "/cabinet/1", "oc"),
            (Method::POST, "/cabinet/1", "o"),
            (Method::GET, "/cabinet/1/2", "o"),
            (Method::GET, "/piece/1/stages/2", "oc"),
            (Method::GET, "/piece/1/preview.png", "oc"),
            (Method::GET, "/piece/1/drawn.svg", "oc"),
            (Method::GET, "/api/pieces/1/logs", "oc"),
            (Method::POST, "/api/pieces/1/logs", "oc"),
            (Method::DELETE, "/api/pieces/1/logs", "o"),
            (Method::GET, "/api/pieces/1/logs/1/coupons", "o"),
            (Method::POST, "/api/pieces/1/logs/1/coupons", "o"),
            (Method::GET, "/api/shops/1/stock/entries", "o"),
            (Method::POST, "/api/shops/1/stock/entries", "o"),
            (Method::DELETE, "/api/shops/1/stock/entries/a", "o"),
            (Method::GET, "/api/pieces/1/orders", "o"),
            (Method::POST, "/api/pieces/1/orders", "o"),
            (Method::DELETE, "/api/pieces/1/orders/1", "o"),
            (Method::POST, "/api/pieces/1/copies", "o"),
            (Method::PUT, "/api/pieces/1/away", "o"),
            (Method::POST, "/api/pieces/1/undo", "o"),
            (Method::POST, "/leave", "oc"),
            (Method::GET, "/", "o"),
            (Method::GET, "/pieces", "o"),
            (Method::POST, "/pieces", "o"),
            (Method::GET, "/piece/1", "o"),
            (Method::POST, "/piece/1/keep", "o"),
            (Method::GET, "/piece/1/files/job-sheet.pdf", "o"),
            (Method::GET, "/shop/1", "o"),
            (Method::GET, "/api/pieces", "o"),
            (Method::GET, "/api/pieces/1", "o"),
            (Method::PUT, "/api/shops/1", "o"),
            (Method::GET, "/keep", "o"),
            (Method::GET, "/keep/backup", "o"),
            (Method::POST, "/keep/import", "o"),
            (Method::POST, "/units", "o"),
            (Method::POST, "/keep/restore", ""),
            (Method::GET, "/pair", ""),
            (Method::POST, "/pair/code", ""),
            (Method::POST, "/pair/withdraw", ""),
        ] {
            assert_eq!(allowed(&method, path), expected, "{method} {path}");
        }
    }
}
