//! A document into one HTML file of its pages as pictures.
