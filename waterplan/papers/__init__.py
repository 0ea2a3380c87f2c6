"""Templates that turn a plan into text, HTML, CSV and JSON."""
