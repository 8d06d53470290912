"""The screens; the only importer of Textual."""
