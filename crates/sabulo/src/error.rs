//! What can go wrong at the edge, in words that name the file, the place and the mend.

use language::say;
use std::path::PathBuf;

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub(crate) enum Failure {
    #[error("{}", say!("{}: cannot be read ({fault}); give the path of a file that exists", path.display()))]
    Read { path: PathBuf, fault: std::io::Error },
    #[error("{}", say!("{}: is {megabytes} MB; a file of more than {most} MB is not read", path.display()))]
    TooLarge { path: PathBuf, megabytes: u64, most: u64 },
    #[error("{}", say!("{}: is not UTF-8 text; save it as UTF-8", path.display()))]
    NotText { path: PathBuf },
    #[error(
        "{}",
        say!(
            "{}: no shop.toml beside it or in the folder above; name one with --shop FILE",
            piece.display()
        )
    )]
    NoShop { piece: PathBuf },
    #[error("{0}")]
    Complaints(#[from] piece::Complaints),
    #[error("{}: {fault}", .path.display())]
    Artwork { path: PathBuf, fault: artwork::load::LoadError },
    #[error("{}", say!("give a drawing to look at, or `batch` with a template and a table of names"))]
    NoArtwork,
    #[error("{}", say!("{}: give a name that ends in .svg or .png", path.display()))]
    UnknownPicture { path: PathBuf },
    #[error("{0}")]
    Batch(Box<artwork::batch::BatchError>),
    #[error("{}", say!("--fit {given}: write a column and a width, such as name=60mm"))]
    Fit { given: String },
    #[error("{}", say!("--size: a drawing of no width; give one above zero"))]
    NoSize,
    #[error("{}: {fault}", .path.display())]
    Class { path: PathBuf, fault: Box<plan::ClassRunError> },
    #[error("{0}")]
    Order(Box<batch::OrderError>),
    #[error("{}", say!("quote: {0}", _0))]
    Quote(#[from] cost::QuoteError),
    #[error("{name}: {fault}")]
    Sheet { name: &'static str, fault: paper::PaperError },
    #[error("{}", say!("table: {0}", _0))]
    Csv(#[from] csv::Error),
    #[error("{0}")]
    Unknown(Box<reference::Unknown>),
    #[error("{}", say!("the picture cannot be made: {0}", _0))]
    Raster(#[from] picture::raster::RasterError),
    #[error("{}: {fault}", .path.display())]
    Refused { path: PathBuf, fault: Box<plan::Refusal> },
    #[error("{}", say!("stencil: {0}", _0))]
    Layers(#[from] plan::StencilFault),
    #[error("{name}: {fault}")]
    Bundle { name: String, fault: Box<stencil::bundle::BundleFault> },
    #[error("{}", say!("stencil: {0}", _0))]
    Tile(#[from] stencil::cut::tiles::TileError),
    #[error("{}", say!("vessel: {0}", _0))]
    Vessel(#[from] stencil::vessel::VesselError),
    #[error("{}", say!("exposure: {0}", _0))]
    Exposure(#[from] stencil::exposure::ExposureError),
    #[error("{}", say!("halftone: {0}", _0))]
    Film(#[from] stencil::film::tiff::TiffFault),
    #[error("{}", say!("film PDF: {0}", _0))]
    FilmPdf(Box<stencil::film::pdf::PdfMismatch>),
    #[error("{name}: {fault}")]
    Tone { name: &'static str, fault: stencil::halftone::tone::CurveError },
    #[error("{}", say!("lettering: {0}", _0))]
    Lettering(#[from] artwork::text::TextError),
    #[error("{}", say!("{name} \"{given}\" is not {wanted}"))]
    Form { name: &'static str, given: String, wanted: &'static str },
    #[error("{}", say!("{}, line {line}: write {wanted}", path.display()))]
    Line { path: PathBuf, line: usize, wanted: &'static str },
    #[error("{}", say!("{name} is needed: {mend}"))]
    Needed { name: &'static str, mend: &'static str },
    #[error("{}", say!("nothing is open in {}; give artwork with filled shapes", path.display()))]
    NothingDrawn { path: PathBuf },
    #[error("{}", say!("stencil: {0}", _0))]
    Mismatch(Box<stencil::verify::Mismatch>),
    #[error("{}", say!("nest: {0}", _0))]
    Nest(#[from] stencil::nest::NestError),
    #[error("{}: {fault}", .path.display())]
    NestOutline { path: PathBuf, fault: stencil::nest::outline::OutlineError },
    #[error("{}", say!("{name} \"{given}\": give its length along and its width across, such as 600mm,300mm"))]
    SheetSides { name: &'static str, given: String },
    #[error("{}", say!("preview.png: cannot be made ({0})", _0))]
    Preview(#[from] picture::preview::PreviewError),
    #[error("{}", say!("job-sheet.pdf: {0}", _0))]
    Paper(#[from] paper::PaperError),
    #[error(
        "{}",
        say!(
            "{}: cannot be written ({fault}); give a folder that you may write to with --out",
            path.display()
        )
    )]
    Write { path: PathBuf, fault: std::io::Error },
    #[error(
        "{}",
        say!(
            "{name} \"{given}\": write a level and a time with an @ between them, such as 96dBA@2h or 400ug/m3@90min"
        )
    )]
    Span { name: &'static str, given: String },
    #[error("{}", say!("abrasive: {0}", _0))]
    Refusal(Box<safety::refusal::Refusal>),
    #[error("{}", say!("--span: {0}", _0))]
    Dust(#[from] safety::dust::DustError),
    #[error("{}", say!("LEVEL@TIME: {0}", _0))]
    Noise(#[from] safety::noise::NoiseError),
    #[error("{0}")]
    Clearing(#[from] safety::clearing::ClearingError),
    #[error("{0}")]
    Plate(#[from] safety::plate::PlateError),
    #[error("{}", say!("--depth: nothing is left of the pane; give less than its thickness"))]
    NoPane,
    #[error("{}", say!("nothing presses on the pane; give --wind, --load, --push or --flat"))]
    NoLoad,
    #[error(
        "{}",
        say!(
            "--material: no strength of {material} is known here: stone varies from block to block; ask for a test \
             panel"
        )
    )]
    NoStrength { material: String },
    #[error("{}", say!("no station is in the shop file; give --pressure, such as 40psi or 2.5bar"))]
    NoPressure,
    #[error("{}", say!("--nozzle: the shop has no nozzle \"{given}\"; it has {known}"))]
    NoNozzle { given: String, known: String },
    #[error("{}", say!("{}: names no file; give the path of one", path.display()))]
    NoFileName { path: PathBuf },
    #[error("{0}")]
    Size(Box<plan::sizing::WantedError>),
    #[error("{name}: {fault}")]
    Quantity { name: &'static str, fault: Box<quantity::ParseError> },
    #[error("{}", say!("air: {0}", _0))]
    Air(Box<air::FlowError>),
    #[error(transparent)]
    Range(#[from] quantity::OutOfRange),
    #[error(
        "{}",
        say!(
            "{name} \"{given}\" is not {wanted}; give {wanted} in millimetres from the blank's top left corner, such \
             as 120,80"
        )
    )]
    Coordinates { name: &'static str, wanted: &'static str, given: String },
    #[error("{}", say!("{}: a relief is written as .stl, .glb or .png; give a name that ends so", path.display()))]
    ReliefKind { path: PathBuf },
    #[error("{}", say!("--svg draws a section; give one with --section x1,y1,x2,y2"))]
    NoSection,
    #[error("{name}: {fault}")]
    UnknownRow { name: &'static str, fault: Box<reference::Unknown> },
    #[error("{}: {fault}", .path.display())]
    Carving { path: PathBuf, fault: Box<plan::carving::CarvingError> },
    #[error("{}", say!("relief: {0}", _0))]
    Relief(#[from] picture::relief::ReliefError),
    #[error("{}", say!("recipe: {0}", _0))]
    Rate(#[from] plan::rate::RateError),
    #[error("{}", say!("depth: {0}", _0))]
    Staging(#[from] carve::staging::StagingError),
    #[error("{}: {fault}", .path.display())]
    Coupons { path: PathBuf, fault: Box<plan::coupon_table::CouponComplaints> },
    #[error("{}: {fault}", .path.display())]
    Calibrate { path: PathBuf, fault: Box<plan::calibration::CalibrationError> },
    #[error("{}", say!("{depths} depths and {areas} areas; give one --area for each --depth, in the same order"))]
    Areas { depths: usize, areas: usize },
    #[error("{}", say!("the pieces in {}: {fault}", path.display()))]
    Store { path: PathBuf, fault: Box<store::StoreError> },
    #[error("{}", say!("{}: is not there; give the file that the app names when it opens", path.display()))]
    NoStore { path: PathBuf },
    #[error("{}", say!("--piece \"{given}\": no one piece has this name; give the number of one of {known}"))]
    NoPieceNamed { given: String, known: String },
    #[error("{}: {fault}", .path.display())]
    Archive { path: PathBuf, fault: Box<web::ArchiveFault> },
    #[error("{}", say!("cannot listen on port {port} ({fault}); give a free one with --port"))]
    Listen { port: u16, fault: std::io::Error },
    #[error("{}", say!("--lan {address}: cannot listen there ({fault}); give an address of this computer"))]
    ListenAt { address: std::net::SocketAddr, fault: std::io::Error },
    #[error(
        "{}",
        say!(
            "--lan: this computer has no address on a private network; connect it, or name an address with \
             --lan=ADDRESS"
        )
    )]
    NoNetwork,
    #[error("{}", say!("the server stopped: {0}", _0))]
    Serve(std::io::Error),
    #[error("{}", say!("cannot print: {0}", _0))]
    Print(std::io::Error),
    #[error("{}", say!("JSON: {0}", _0))]
    Json(#[from] serde_json::Error),
}

/// Large faults are boxed, so that a result stays small.
macro_rules! boxed {
    ($($variant:ident($fault:ty)),+) => {$(
        impl From<$fault> for Failure {
            fn from(fault: $fault) -> Self {
                Self::$variant(Box::new(fault))
            }
        }
    )+};
}
boxed!(
    Refusal(safety::refusal::Refusal),
    FilmPdf(stencil::film::pdf::PdfMismatch),
    Mismatch(stencil::verify::Mismatch),
    Air(air::FlowError),
    Size(plan::sizing::WantedError)
);
