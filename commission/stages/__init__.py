"""The stages of the job, a folder each."""
