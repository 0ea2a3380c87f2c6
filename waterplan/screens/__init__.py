"""The Streamlit pages; nothing else imports streamlit."""
