//! A raster laid over the blank, and values on it.

/// A place on the blank, in millimetres: x to the right, y down, from the blank's top left corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Millimetres to the right.
    pub x: f64,
    /// Millimetres down.
    pub y: f64,
}

/// Square cells in rows, row 0 at the top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Top left corner of the first cell.
    pub origin: Point,
    /// Cell edge in millimetres, above zero.
    pub cell: f64,
    /// Cells in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

impl Grid {
    /// Number of cells.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.width * self.height
    }

    /// Whether there is no cell at all.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The middle of a cell.
    #[must_use]
    pub fn centre(&self, column: usize, row: usize) -> Point {
        Point {
            x: self.origin.x + (column as f64 + 0.5) * self.cell,
            y: self.origin.y + (row as f64 + 0.5) * self.cell,
        }
    }

    /// Area of one cell in square millimetres.
    #[must_use]
    pub fn cell_area(&self) -> f64 {
        self.cell * self.cell
    }
}

/// A value for each cell of a grid, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Field<T> {
    /// Where the values lie.
    pub grid: Grid,
    /// `grid.len()` values, row by row from the top.
    pub values: Vec<T>,
}

/// Which cells are open (their centre is inside an opening of the resist).
pub type Mask = Field<bool>;

impl<T: Copy> Field<T> {
    /// The same value everywhere.
    #[must_use]
    pub fn filled(grid: Grid, value: T) -> Self {
        Self { grid, values: vec![value; grid.len()] }
    }

    /// One row's values.
    ///
    /// # Panics
    /// When there is no such row.
    #[must_use]
    pub fn row(&self, row: usize) -> &[T] {
        &self.values[row * self.grid.width..][..self.grid.width]
    }

    /// The value of the cell under a point; `None` outside the grid.
    #[must_use]
    pub fn at(&self, point: Point) -> Option<T> {
        let column = ((point.x - self.grid.origin.x) / self.grid.cell).floor();
        let row = ((point.y - self.grid.origin.y) / self.grid.cell).floor();
        let inside = column >= 0.0 && row >= 0.0 && column < self.grid.width as f64 && row < self.grid.height as f64;
        inside.then(|| self.values[row as usize * self.grid.width + column as usize])
    }
}
