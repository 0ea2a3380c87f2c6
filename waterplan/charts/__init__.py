"""From a plan to charts as plain data; no streamlit here."""
