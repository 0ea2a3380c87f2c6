"""The screens' front door: which pages there are and in what order."""

import streamlit as st

from waterplan.screens import (
    call,
    case_bar,
    case_form,
    doses,
    draft,
    emergency,
    going,
    kept,
    plan_pages,
    quick_sums,
    reader,
    readings,
    settings,
    sources,
    volume,
)
from waterplan.screens.reader import say

st.set_page_config(page_title="waterplan", page_icon=reader.MARK, layout="wide")
kept.bring_back(kept.begin())
draft.keep_fields()
chosen = going.pages(
    {
        "now": [
            st.Page(plan_pages.first, title=say("first.title"), url_path="do-now", default=True),
            st.Page(case_form.page, title=say("case.title"), url_path="case"),
            st.Page(readings.page, title=say("readings.title"), url_path="readings"),
        ],
        "moments": plan_pages.moments(),
        "urgent": [
            st.Page(call.page, title=say("phone.title"), url_path="phone"),
            st.Page(emergency.page, title=say("emergency.title"), url_path="no-breathing"),
        ],
        "sums": [
            st.Page(volume.page, title=say("volume.title"), url_path="volume"),
            st.Page(doses.page, title=say("doses.title"), url_path="doses"),
            st.Page(quick_sums.page, title=say("sum.title"), url_path="quick-sums"),
        ],
        "about": [
            st.Page(sources.page, title=say("sources.title"), url_path="sources"),
            st.Page(settings.page, title=say("settings.title"), url_path="settings"),
        ],
    }
)
case_bar.case_bar()
chosen.run()
