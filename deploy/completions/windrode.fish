# Print an optspec for argparse to handle cmd's options that are independent of any subcommand.
function __fish_windrode_global_optspecs
    string join \n config= socket= h/help V/version
end

function __fish_windrode_needs_command
    # Figure out if the current invocation already has a command.
    set -l cmd (commandline -opc)
    set -e cmd[1]
    argparse -s (__fish_windrode_global_optspecs) -- $cmd 2>/dev/null
    or return
    if set -q argv[1]
        # Also print the command, so this can be used to figure out what it is.
        echo $argv[1]
        return 1
    end
    return 0
end

function __fish_windrode_using_subcommand
    set -l cmd (__fish_windrode_needs_command)
    test -z "$cmd"
    and return 1
    contains -- $cmd[1] $argv
end

complete -c windrode -n "__fish_windrode_needs_command" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_needs_command" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_needs_command" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_needs_command" -s V -l version -d 'Print version'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "run" -d 'Run the daemon, which keeps the watch'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "setup" -d 'Set windrode up: the boat\'s figures, a phone, and a check'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "let-go" -d 'The anchor touches bottom: mark it under the bow roller'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "veer" -d 'Enter how much rode is out, whenever it changes'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "snubber" -d 'Enter that a snubber or bridle is on, or off'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "pull-test" -d 'Test under engine whether the anchor holds'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "weigh" -d 'The anchor is up: end the watch'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "mark" -d 'Correct where the anchor lies'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "circle" -d 'Set a swinging circle of your own, or go back to the one from the rode'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "acknowledge" -d 'I have seen it: stop the sound of one alert, or of all'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "silence" -d 'Hold the sound for 30 s: of one alert, or of all'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "berth" -d 'Plan where to put the anchor, and see the circle on the chart before letting go'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "status" -d 'How she lies, on one screen'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "check" -d 'Check the server, the rights, the sensors and the phones'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "plan" -d 'How much rode, how far she swings, what the wind does to the tackle'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "rehearse" -d 'Rehearse a bad night without leaving the berth'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "measure" -d 'Measure over many simulated nights how far an anchor moves before the alarm'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "replay" -d 'Play a recording through the watch, and print one event per line'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "report" -d 'The morning after: what happened at anchor, as a page for a browser'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "tide" -d 'High and low water at a place, calculated from moon and sun'
complete -c windrode -n "__fish_windrode_needs_command" -f -a "chart" -d 'Charts kept aboard, and room to swing on them'
complete -c windrode -n "__fish_windrode_using_subcommand run" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand run" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand run" -l record -d 'Record the server\'s messages, as `journal.record` does'
complete -c windrode -n "__fish_windrode_using_subcommand run" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l language -d 'The language of all that the crew reads or hears, and of the questions: en, de, fr or es' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l server -d 'The Signal K server, such as `ws://localhost:3000`' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l name -d 'The boat\'s name in messages to phones' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l length -d 'Length over all, such as 11.2m' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l draught -d 'Greatest draught, such as 1.9m' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l roller-height -d 'Height of the bow roller above the water, such as 1.2m' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l antenna-from-bow -d 'Distance of the positioning antenna aft of the stem, such as 9.1m' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l rode -d 'All the rode aboard, chain and rope together, such as 60m' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l chain -d 'The chain at the anchor, such as "8 mm G40"' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l phone -d 'A topic on a push server that a phone listens to, such as <https://push.example/tern-8f2k51x7>' -r
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l yes -d 'Ask nothing: what is not given as an option stays as it is'
complete -c windrode -n "__fish_windrode_using_subcommand setup" -l offline -d 'Write the configuration only: no test alarm, no check'
complete -c windrode -n "__fish_windrode_using_subcommand setup" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l rode -d 'Rode that will be out in all, such as 40m' -r
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l position -d 'Where the anchor lies, if not under the bow roller now' -r
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l depth -d 'Depth of water at the anchor, if not as sounded now' -r
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l kind -d 'What she lies to: anchor, secondAnchor, mooring, shoreLine or sternTo' -r
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l radius -d 'The circle around the mark that her centre may lie in; needed on a mooring or shore lines' -r
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l from-track -d 'The anchor went down long ago: mark it where her track says it lies'
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -l reanchored -d 'She was anchored again without weighing: replace the mark'
complete -c windrode -n "__fish_windrode_using_subcommand let-go" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand veer" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand veer" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand veer" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -l at -d 'Rode from the anchor to the hook; by default the rode that is out' -r
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -l length -d 'From the bow roller to the hook; by default `tackle.snubber_length`' -r
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -l off -d 'The snubber or bridle is off'
complete -c windrode -n "__fish_windrode_using_subcommand snubber" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand pull-test" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand pull-test" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand pull-test" -l end -d 'End the test and give the verdict'
complete -c windrode -n "__fish_windrode_using_subcommand pull-test" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand weigh" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand weigh" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand weigh" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand mark" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand mark" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand mark" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand circle" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand circle" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand circle" -l none -d 'Remove your own circle'
complete -c windrode -n "__fish_windrode_using_subcommand circle" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand acknowledge" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand acknowledge" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand acknowledge" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand silence" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand silence" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand silence" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l scope -d 'Plan with this scope; by default as `plan` does for unknown holding' -r
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l rode -d 'Plan with this rode, whatever the scope' -r
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l wind -d 'Strongest mean wind expected, such as 25kn; the present wind is not used' -r
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l stay -d 'How long she stays, such as 36h; by default until noon tomorrow' -r
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l none -d 'Remove the berth'
complete -c windrode -n "__fish_windrode_using_subcommand berth" -l json -d 'As JSON, in SI units'
complete -c windrode -n "__fish_windrode_using_subcommand berth" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand status" -l picture -d 'As a picture with the last hour\'s track, in a file that ends in .svg or .png' -r
complete -c windrode -n "__fish_windrode_using_subcommand status" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand status" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand status" -l json -d 'As JSON'
complete -c windrode -n "__fish_windrode_using_subcommand status" -l follow -d 'Keep showing it: a screen with a swing picture, and keys to acknowledge (a), silence (s) and quit (q). Without a terminal, a line for each change'
complete -c windrode -n "__fish_windrode_using_subcommand status" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand check" -l push -d 'Send a test message through this channel to a phone, and do nothing else' -r
complete -c windrode -n "__fish_windrode_using_subcommand check" -l listen -d 'How many seconds to listen to the sensors' -r
complete -c windrode -n "__fish_windrode_using_subcommand check" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand check" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand check" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand check" -l offline -d 'Only show the configuration in force; do not contact the server'
complete -c windrode -n "__fish_windrode_using_subcommand check" -l verbose -d 'Show the configuration in force too, and where each value comes from'
complete -c windrode -n "__fish_windrode_using_subcommand check" -l json -d 'As JSON'
complete -c windrode -n "__fish_windrode_using_subcommand check" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l depth -d 'Depth at the berth, such as 7m or 23ft. Without it, depth, tide, wind and boat come from the running daemon, as they are now' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l berth -d 'Plan for this place, such as 59.8539,23.26: the depth comes from the charts aboard unless --depth is given, and the circle is checked on them' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l below -d 'Where that depth is measured from' -r -f -a "surface\t'The depth of water'
transducer\t'As the sounder shows it; needs the transducer\'s depth'
keel\t'Below the keel; needs the draught'
datum\t'A depth on the chart, below chart datum'"
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l rise -d 'How much the water still rises during the stay' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l fall -d 'How much the water still falls during the stay' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l tide -d 'Height of the tide now, above chart datum' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l high-water -d 'Highest tide of the stay, above chart datum' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l low-water -d 'Lowest tide of the stay, above chart datum' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l station -d 'Use the prediction for this tide station, by its id or name; by default `water.station`' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l until -d 'The end of the stay, UTC; noon tomorrow where a station predicts the tide' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l wind -d 'Strongest mean wind expected, such as 25kn' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l holding -d 'What is known about the holding' -r -f -a "good\t'Known to be good'
unknown\t'Not known'
poor\t'Known to be poor'"
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l scope -d 'Plan with this scope. Otherwise 5:1 in good holding, 7:1 in holding that is not good or unknown, in a strong wind and with rope at the roller, and 10:1 in a storm' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l rode-out -d 'Rode that is out already, from the bow roller: shows its scope, reach and circle, and how much is missing' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l search -d 'Search the charts for berths around a place, such as 59.8539,23.26 or "59°51.234\'N 23°15.6\'E". Depths come from the charts, heights of the tide from `--low-water` with `--tide` and `--high-water`, or from a station' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l within -d 'How far around the place; answers are in metres or feet like this length' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l neighbour -d 'Keep clear of this circle, such as another vessel\'s: its centre and radius, as "59.8539,23.26 40m". Can be given several times' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l neighbours -d 'The same from a file, one vessel per line: her anchor, her circle, her name, as "59.8539,23.26; 40m; Plover". Without a circle, that of a yacht of 12 m is assumed. Lines that begin with # are ignored' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l roller -d 'Bow roller above the water' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l draught -d 'Surface to the lowest point of the keel' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l transducer -d 'Depth transducer below the surface' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l length -d 'Length over all' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l beam -d 'Greatest beam' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l freeboard -d 'Deck above the water, amidships' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l mast -d 'Masthead above the water' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l aboard -d 'All the rode aboard' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l chain -d 'The chain, such as "8 mm G40" or "5/16 in G43"' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l chain-length -d 'How much of the rode is chain, where there is rope too' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l rope -d 'The rope above the chain, such as "14 mm nylon"' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l snubber -d 'The snubber, such as "12 mm nylon"' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l snubber-length -d 'From the bow to the snubber\'s hook' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l marks -d 'Distance between the marks on the rode; the rode is rounded up to it' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l anchor -d 'Mass of the anchor, such as 20kg' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l geojson -d 'As GeoJSON for a chart display: each berth and its circle'
complete -c windrode -n "__fish_windrode_using_subcommand plan" -l json -d 'As JSON, in SI units'
complete -c windrode -n "__fish_windrode_using_subcommand plan" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l speed -d 'How many times as fast as the clock; by default as fast as the machine can' -r
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l against -d 'Show the night on the displays of the boat\'s own server' -r
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l seed -d 'Another number gives another night' -r
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l language -d 'The language of the alerts, the status and the picture, if not the configured one' -r
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l picture -d 'Draw the moment of the alarm as a phone gets it, into a file that ends in .svg or .png' -r
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l list -d 'List the nights'
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -l json -d 'As JSON, one document at the end'
complete -c windrode -n "__fish_windrode_using_subcommand rehearse" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l nights -d 'How many nights; in every second one the anchor drags' -r
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l seed -d 'The first night\'s number; the same number gives the same nights' -r
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l length -d 'How long each night is, such as 8h' -r
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l threads -d 'How many threads; by default one for each core' -r
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l sea -d 'Which model of sea, boat and receiver' -r -f -a "first\t'A boat moved by forces, a catenary, Gauss-Markov noise'
second\t'A boat that hangs in wind and stream, slack and caught rodes, flicker noise and steps, wrong marks'"
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l noise -d 'Add the noise of real receivers that stood still to the simulated boat\'s positions: a file, or a folder of .csv files, with time, latitude and longitude' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l kind -d 'Make every night of this kind; may be given several times. Slack rodes and kinks are only in the second sea' -r -f -a "first-half-hour\t'The anchor begins to drag 3 to 30 minutes after letting go'
rode-wrong\t'The crew enters the rode a fifth too short or too long'
no-velocity\t'The receiver gives no velocity'
slack\t'In light air she lies far nearer to the anchor than the chain\'s weight would put her'
kink\t'The rode is caught on the bottom'
late-mark\t'The mark is made late'
from-track\t'The mark is made from the track'
reflections\t'Several reflections an hour shift the fix, and each builds up over some seconds. Only in the first sea'
uneven-reflections\t'The same, but each builds up and goes at different speeds, or at once. Only in the first sea'
smoothed-velocity\t'The receiver smooths its velocity over 3 to 15 s, and not its position'"
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l instruments -d 'Which instruments every boat has' -r -f -a "dealt\t'As the night\'s seed decides'
all\t'Compass and wind instrument on every boat'
no-wind\t'A compass on every boat, a wind instrument on none'
no-compass\t'A wind instrument on every boat, a compass on none'
neither\t'Neither on any boat'"
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l reports -d 'The time between positions, such as 60s; by default a second' -r
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l picture -d 'Draw the distributions into this file, as SVG' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l compare-instruments -d 'Run the nights four times, with compass and wind instrument, without either and without both, and print the medians'
complete -c windrode -n "__fish_windrode_using_subcommand measure" -l json -d 'As JSON'
complete -c windrode -n "__fish_windrode_using_subcommand measure" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l life -d 'Which run of the daemon in a journal: its number, which grows with each start; by default the last' -r
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l let-go -d 'Let go at this moment of the recording, such as 2026-06-01T20:01:00Z' -r
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l rode -d 'The rode veered at that moment' -r
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l depth -d 'Depth of water at that moment, if the recording has none' -r
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l self -d 'Our own vessel\'s context, if the recording does not name it' -r
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l compare -d 'Print only what is judged differently now than in the recording or journal'
complete -c windrode -n "__fish_windrode_using_subcommand replay" -l json -d 'The comparison as JSON'
complete -c windrode -n "__fish_windrode_using_subcommand replay" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand report" -l export -d 'The track and the anchor for another program' -r -f -a "gpx\t'GPX 1.1'
geojson\t'GeoJSON (RFC 7946)'"
complete -c windrode -n "__fish_windrode_using_subcommand report" -s o -l output -d 'Into this file instead of standard output' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand report" -l bundle -d 'Everything that `windrode replay` needs to judge the stay again, in one file for a bug report' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand report" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand report" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand report" -l list -d 'List the stays, and do nothing else'
complete -c windrode -n "__fish_windrode_using_subcommand report" -l json -d 'As JSON, in SI units'
complete -c windrode -n "__fish_windrode_using_subcommand report" -l shifted -d 'In the bundle, all positions lie elsewhere, and no vessel is named'
complete -c windrode -n "__fish_windrode_using_subcommand report" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l near -d 'The station nearest to this place, such as 59.8539,23.26; lists the next ones too' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l station -d 'This station, by its id or name' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l from -d 'From this day or moment, boat\'s time; today when not given' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l to -d 'To the end of this day or to this moment; two days when not given' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l every -d 'Add the height at each step, such as 30min' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l utc -d 'Days and times in UTC, not in the boat\'s time zone'
complete -c windrode -n "__fish_windrode_using_subcommand tide" -l json -d 'As JSON'
complete -c windrode -n "__fish_windrode_using_subcommand tide" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -f -a "add" -d 'Keep a chart aboard'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -f -a "list" -d 'The charts that are kept'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -f -a "remove" -d 'Remove a chart'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -f -a "clear" -d 'Has she room to swing there?'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and not __fish_seen_subcommand_from add list remove clear forget-soundings" -f -a "forget-soundings" -d 'Remove soundings of the boat\'s own that are wrong'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l name -d 'A name for GeoJSON, if not that of its file or folder' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l scale -d 'The scale of GeoJSON, such as 20000 for 1:20 000. Without it every other chart counts before it' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l datum -d 'What depths of GeoJSON are measured from, such as "lowest astronomical tide" or LAT' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from add" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from list" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from list" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from list" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from list" -l json -d 'As JSON'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from list" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from remove" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from remove" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from remove" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from remove" -s h -l help -d 'Print help'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l radius -d 'How far the boat swings, all of her, such as 45m or 150ft; answers come in metres or feet as this one' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l draught -d 'Surface to the lowest point of the keel, if not as configured' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l margin -d 'Water to be left under the keel, if not as configured' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l low-water -d 'Lowest tide of the stay, above chart datum' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l tide -d 'Height of the tide now, above chart datum: tells what grounds her now from what does so later' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l station -d 'At this tide station, by its id or name; its prediction is taken for the stay' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l until -d 'The end of the stay, UTC; noon tomorrow where a station predicts the tide' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l from -d 'She lies only in a sector: it begins at this bearing from the middle, true, and runs clockwise' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l to -d 'The sector ends at this bearing' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -l json -d 'As JSON, in SI units'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from clear" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -l position -d 'Only those about this place, such as 59.8539,23.26 or "59°51.234\'N 23°15.6\'E"' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -l within -d 'Up to this far from there' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -l language -d 'The language, if not the configured one: en, de, fr or es. JSON is in English' -r
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -l config -d 'The configuration, if not /etc/windrode/windrode.toml' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -l socket -d 'The daemon\'s socket, if not the configured one' -r -F
complete -c windrode -n "__fish_windrode_using_subcommand chart; and __fish_seen_subcommand_from forget-soundings" -s h -l help -d 'Print help (see more with \'--help\')'
