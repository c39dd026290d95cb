//! Window tests without a window.

mod support {
    pub mod fixture;
    pub mod raster;
}

mod choosing;
mod contrast;
mod controls;
mod files;
mod layout;
mod pages;
mod paper;
mod pictures;
mod room;
mod stand;
mod writing_side;
