"""The lesson page: a web server on the coach's own computer, for its browser and for phones on the local network.

The page shows what the library does. A route parses, calls a service, and renders; it holds no rule about people and no
formula. Blocking work goes to the thread pool (a route that is a plain ``def``) or, where it takes long, to a worker
process (`work`). Nothing is fetched from outside.

==================  ==================================================================================================
module              what it does
==================  ==================================================================================================
``app``             puts routes, guards and state together: `create_app`
``state``           what all routes share: where the archive is, where drafts are, who may come in, the language
``run``             starts the server, opens the browser, prints addresses and QR code
``network``         the addresses at which the server listens
``access``          who may come in: one-time codes, sessions, the roles coach and phone
``guards``          what every request has to pass: host, origin, limits; the headers of every answer
``limits``          how often something may be done
``drafts``          lessons that are being made: student, what was said, clips, result; each a folder on disk
``uploads``         clips that arrive in pieces and can be resumed; `receiving` brings one piece to the disk
``clip_check``      what is said of a clip that has arrived
``work``            long work: its progress, and how it is cancelled; `workers` are the processes that do it
``left_behind``     drafts that are thrown away, or whose student was erased
``opened``          lessons that are open for by hand and fit, kept in memory between requests
``rendering``       templates, the language of the page, and messages for the coach
``phrases``         sentences of the library in the words of the page: labels in place of options and commands
``forms``           what is typed into a form: read field by field, an error beside its field
``bodies``          what is typed of a student, putter and answers, read for the services
``measuring``       the job of a draft: what is measured from what was typed and uploaded; a guest becomes a student
``showing``         the report of a lesson, from a draft or from the archive
``giving``          how a route answers when something was done, or gives a file out
``places``          where a lesson is that is changed on a page: a draft, or the archive
``by_hand``         points and numbers of a lesson that is put right, as JSON
``strokes``         strokes, their events and numbers, as JSON
``fit_sliders``     what the sliders of the fit can be set to
``live_exchange``   one live connection: frames in, numbers out, the newest first
``certificate``     what a phone needs for a live camera: TLS, with a certificate that is made here
``routes/``         the pages, a file for each: start, students, lesson, stroke, by hand, fit, live, history, and so on
``templates/``      their HTML
``static/``         stylesheet and ES modules, a folder for each page that needs more than one
``languages/``      the catalogues of texts
==================  ==================================================================================================
"""
