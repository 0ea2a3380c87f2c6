"""The screens' front door: which pages there are and in what order."""

import streamlit as st

from waterplan.screens import doses, draft, look, quick_sums, recovery, sources, tank_days, volume

st.set_page_config(page_title="waterplan", page_icon="💧", layout="wide")
look.style()
draft.keep_fields()
st.navigation(
    [
        st.Page(recovery.page, title="Recovery and hospital tank", url_path="recovery", default=True),
        st.Page(tank_days.page, title="Tank through time", url_path="tank"),
        st.Page(volume.page, title="Volume", url_path="volume"),
        st.Page(doses.page, title="Doses", url_path="doses"),
        st.Page(quick_sums.page, title="Quick sums", url_path="quick-sums"),
        st.Page(sources.page, title="Sources", url_path="sources"),
    ],
    position="top",
).run()
