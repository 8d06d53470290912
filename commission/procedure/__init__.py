"""What is asked, warned of and required at each stage: data with sources, read into typed models."""
