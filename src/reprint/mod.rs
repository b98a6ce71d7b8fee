//! A new document and an old manifest into the sheets to print and a change list.
