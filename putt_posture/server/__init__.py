"""The lesson page: a web server on the coach's own computer, for its browser and for phones on the local network.

The page shows what the library does. A route parses, calls a service, and renders; it holds no rule about people and no
formula. Blocking work goes to the thread pool (a route that is a plain ``def``) or, where it takes long, to a worker
process (`work`). Nothing is fetched from outside.

==================  ==================================================================================================
module              what it does
==================  ==================================================================================================
``app``             puts routes, guards and state together: `create_app`
``state``           what all routes share: where the archive is, where drafts are, who may come in, the language
``access``          who may come in: one-time codes, sessions, the roles coach and phone
``guards``          what every request has to pass: host, origin, limits; the headers of every answer
``drafts``          lessons that are being made: student, what was said, clips, result; each a folder on disk
``uploads``         clips that arrive in pieces and can be resumed
``work``            long work in processes of its own, its progress, and how it is cancelled
``live_exchange``   what the page of live numbers and the server send each other
``certificate``     the certificate with which phones are served over TLS
``rendering``       templates, the language of the page, and messages for the coach
``routes/``         the pages, a file for each: start, students, lesson, by hand, fit, live, history, keeping, settings
``templates/``      their HTML
``static/``         stylesheet and ES modules, a folder for each page that needs more than one
``languages/``      the catalogues of texts
``run``             starts the server, opens the browser, prints addresses and QR code
==================  ==================================================================================================
"""
