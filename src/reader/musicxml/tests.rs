//! Hand-made scores, the part of the report beside each.
