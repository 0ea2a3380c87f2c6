"""From a plan to Altair charts; no streamlit here."""
