"""The server of the screens: Streamlit's own, with the project's style and its one script in each page from the first."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from starlette.middleware import Middleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit.starlette import App

from waterplan.tables import shipped

_PAGES, _BEFORE = Path(__file__).parent / "pages", b'<div id="root">'
# What asks for a page in part, packed or only where it has changed: it comes whole, for the style goes into it.
_NOT_WHOLE = frozenset({b"accept-encoding", b"if-modified-since", b"if-none-match", b"range"})
# Heads that describe a page as it was before the style went into it.
_OF_WHAT_IT_WAS = frozenset({b"content-length", b"etag", b"last-modified"})


class _Styled:
    """Pages with the style and the script in them: a style that is sent later moves all that was drawn by then."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        style, script = ((_PAGES / name).read_bytes() for name in ("look.css", "fold.js"))
        self._own = b"<style>%b</style><script>%b</script>" % (style, script)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or "." in scope["path"]:  # no page has one
            await self._app(scope, receive, send)
            return
        begun: list[Message] = []
        body = bytearray()

        async def whole(message: Message) -> None:
            """Holds a page back until all of it is there."""
            if (
                message["type"] == "http.response.start"
                and dict(message["headers"]).get(b"content-type", b"")[:9] == b"text/html"
            ):
                begun.append(message)
            elif not begun:
                await send(message)
            else:
                body.extend(message.get("body", b""))
                if not message.get("more_body"):
                    page = bytes(body).replace(_BEFORE, self._own + _BEFORE)
                    kept = [one for one in begun[0]["headers"] if one[0] not in _OF_WHAT_IT_WAS]
                    await send({**begun[0], "headers": [*kept, (b"content-length", str(len(page)).encode())]})
                    await send({"type": "http.response.body", "body": page})

        asked = [one for one in scope["headers"] if one[0] not in _NOT_WHOLE]
        await self._app({**scope, "headers": asked}, receive, whole)


def serve(options: Mapping[str, Any]) -> None:
    """Serves the screens with these options of Streamlit's until the process is stopped."""
    App(shipped("app.py"), middleware=[Middleware(_Styled)]).run(config=options)
