//! Results become a document.
