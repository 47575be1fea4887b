//! `sabulo keep`: backup, restore, export, import of what the app keeps.

use super::serve::usual_path;
use super::{print, print_json};
use crate::error::Failure;
use crate::folder::{read, write_file};
use clap::{Args, Subcommand};
use language::{say, say_count};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use store::{Archive, PieceId, Scope, ShopId, Store, StoreError};

#[derive(Debug, Args)]
pub(crate) struct KeepArguments {
    #[command(subcommand)]
    command: KeepCommand,
    /// The file that keeps pieces and shops. Left out: sabulo.db in the user's data folder.
    #[arg(long, value_name = "FILE", global = true)]
    data: Option<PathBuf>,
    /// Print JSON, for programs.
    #[arg(long, global = true)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum KeepCommand {
    /// Copy the whole file, as it stands now, while the app may be open.
    Backup {
        /// The copy, a new file.
        to: PathBuf,
    },
    /// Put a backup in the place of everything; what was there is kept beside it.
    Restore {
        /// A backup.
        from: PathBuf,
    },
    /// Write pieces and shops, as they stand, into one ZIP of readable files.
    Export {
        /// The ZIP, a new file.
        to: PathBuf,
        /// One piece, by its number or its name, with its shop and logs.
        #[arg(long, conflicts_with = "shop")]
        piece: Option<String>,
        /// One shop, by its number.
        #[arg(long)]
        shop: Option<i64>,
    },
    /// Bring exported pieces and shops in, as new ones. Nothing is overwritten.
    Import {
        /// An exported ZIP.
        from: PathBuf,
    },
}

pub(crate) fn keep(arguments: &KeepArguments) -> Result<ExitCode, Failure> {
    let data = arguments.data.clone().unwrap_or_else(usual_path);
    let (words, document) = match &arguments.command {
        KeepCommand::Backup { to } => backup(&data, to),
        KeepCommand::Restore { from } => restore(&data, from),
        KeepCommand::Export { to, piece, shop } => export(&data, to, piece.as_deref(), *shop),
        KeepCommand::Import { from } => import(&data, from),
    }?;
    if arguments.json {
        print_json(&document)?
    } else {
        print(&format!("{words}\n"))?
    }
    Ok(ExitCode::SUCCESS)
}

type Said = (String, serde_json::Value);

fn fault(path: &Path) -> impl Fn(StoreError) -> Failure {
    move |fault| Failure::Store { path: path.to_owned(), fault: Box::new(fault) }
}

/// The store at a path where there is one: a misspelt path must not make an empty one.
fn open(data: &Path) -> Result<Store, Failure> {
    if !data.exists() {
        return Err(Failure::NoStore { path: data.to_owned() });
    }
    Store::open(data).map_err(fault(data))
}

fn backup(data: &Path, to: &Path) -> Result<Said, Failure> {
    open(data)?.back_up(to).map_err(fault(data))?;
    Ok((say!("{} is a checked copy of {}", to.display(), data.display()), json!({ "backup": to })))
}

fn restore(data: &Path, from: &Path) -> Result<Said, Failure> {
    if let Some(folder) = data.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|fault| Failure::Write { path: folder.to_owned(), fault })?;
    }
    let kept = store::restore(data, from).map_err(fault(data))?.kept;
    let said = say!("{} now holds what {} holds", data.display(), from.display());
    let said = match &kept {
        Some(kept) => format!("{said}\n{}", say!("What was there stands in {}", kept.display())),
        None => said,
    };
    Ok((said, json!({ "restored": data, "kept": kept })))
}

fn export(data: &Path, to: &Path, piece: Option<&str>, shop: Option<i64>) -> Result<Said, Failure> {
    if to.exists() {
        return Err(fault(data)(StoreError::Exists { path: to.to_owned() }));
    }
    let store = open(data)?;
    let scope = match (piece, shop) {
        (Some(piece), _) => Scope::Piece(piece_named(&store, data, piece)?),
        (None, Some(shop)) => Scope::Shop(ShopId(shop)),
        (None, None) => Scope::All,
    };
    let archive = store.archive(scope).map_err(fault(data))?;
    let bytes = archive.pack().map_err(|unpacked| fault(data)(unpacked.into()))?;
    write_file(to, &bytes)?;
    let (pieces, shops) = (archive.pieces.len(), archive.shops.len());
    let words = say!(
        "{} holds {} and {}",
        to.display(),
        say_count!(pieces, "{pieces} piece", "{pieces} pieces"),
        say_count!(shops, "{shops} shop", "{shops} shops")
    );
    Ok((words, json!({ "exported": to, "pieces": pieces, "shops": shops })))
}

fn piece_named(store: &Store, data: &Path, given: &str) -> Result<PieceId, Failure> {
    if let Ok(number) = given.parse() {
        return Ok(PieceId(number));
    }
    let pieces = store.pieces().map_err(fault(data))?;
    let named: Vec<PieceId> = pieces.iter().filter(|piece| piece.name == given).map(|piece| piece.id).collect();
    match named.as_slice() {
        [one] => Ok(*one),
        _ => {
            let known = pieces.iter().map(|piece| format!("{} {}", piece.id, piece.name)).collect::<Vec<_>>();
            Err(Failure::NoPieceNamed { given: given.to_owned(), known: known.join(", ") })
        }
    }
}

fn import(data: &Path, from: &Path) -> Result<Said, Failure> {
    let unread = |unread: StoreError| Failure::Store { path: from.to_owned(), fault: Box::new(unread) };
    let archive = Archive::unpack(&read(from)?).map_err(|fault| unread(fault.into()))?;
    web::look_at(&archive).map_err(|fault| Failure::Archive { path: from.to_owned(), fault: Box::new(fault) })?;
    let brought = open(data)?.bring_in(&archive).map_err(fault(data))?;
    let piece = |piece: &store::BroughtPiece| {
        let same = piece.same_name.map(|same| same.0);
        json!({ "id": piece.id.0, "name": piece.name, "same_name": same, "logs": piece.logs })
    };
    let shop = |shop: &store::BroughtShop| json!({ "id": shop.id.0, "was_here": shop.was_here });
    let document = json!({
        "pieces": brought.pieces.iter().map(piece).collect::<Vec<_>>(),
        "shops": brought.shops.iter().map(shop).collect::<Vec<_>>(),
    });
    Ok((web::said(&brought).join("\n"), document))
}
