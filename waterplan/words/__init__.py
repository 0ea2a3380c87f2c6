"""The one room that makes sentences: phrases by key, and templates that put records into words."""
