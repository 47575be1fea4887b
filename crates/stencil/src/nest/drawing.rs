//! A nested sheet as a picture: the sheet, its pieces, what is left.
