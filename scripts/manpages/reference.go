package main

// reference is what README.md leaves to sizewright(1): sections with their text.
var reference = [][2]string{
	{"SETTINGS", `A setting that does nothing or spoils paper (a border without media), or a key or value of an earlier version, is warned of and keeps nothing from starting.`},
	{"SIZES AND JOBS", `Of two sizes on a folder's path the innermost counts. A folder whose files were all taken stays. No job may be called "morning". Of "A2 x3" paper, cost, time and packing count three. Where sizewright.toml has stocks, a stock that is not among them holds the picture.

A name that Windows cannot open is changed: con.jpg becomes con_.jpg.`},
	{"PICTURES", `JPEG, PNG, TIFF, HEIF (HEIC), AVIF, WebP, and the flattened picture of PSD and PSB files are read: RGB, grey and CMYK, 8 and 16 bits. TIFF may be BigTIFF, and have ZSTD or JPEG inside. A TIFF, PSD or PSB may be larger than memory: it is decoded to a file in the studio for that time.

HEIF and AVIF are decoded by the program of Debian's libheif-examples. HEVC, which HEIC files use, has no checksum: most changed bits in one cannot be found. HEIF of high dynamic range is held.

Title, description, creator, rights and keywords (XMP, IPTC) go into the print.

Camera raw, GIF, JPEG 2000, JPEG XL, OpenEXR, PDF and SVG files and animations are held. Files that lie beside pictures (.xmp, .pp3, .txt, .pdf) are ignored, and listed in the report.`},
	{"VERDICT", `A print needs what an eye of one minute of arc resolves from where people stand: 194 ppi in the hand, 160 at A4, and 134 from A3 on, since people come as near as an arm's length to any print. Under two thirds of that it is too small.

Only pixels that hold picture count: of a file that was enlarged, those that it was enlarged from, and fewer of one that is soft or shaken all over. These are estimates: a JPEG saved after an enlargement can hide that there was one.`},
	{"PRINTED PRINTS", `Status, report and history tell what waits to be printed, was printed and was reprinted. The TIFF of a packed run stands for all prints on it, and once something of it is printed it stays as it is. "sizewright tidy" leaves the TIFF of a print whose original is gone or changed, and one that somebody changed.

A print is not made again while it is in the outbox. After an upgrade that makes prints in another way it is, and the record says so.`},
	{"EDITIONS", `An edition belongs to the picture's name in its job, so an edited file goes on with it, in every folder that has the same number of prints. Other folders and "sizewright strip" stand outside. There may be gaps in the numbers. A picture that is dropped again gets the next number once its earlier ones are printed. editions.txt in the studio lists all numbers; if it is lost, it is restored from the print records.`},
	{"SHARE", `Where the studio is /srv/studio and the group sizewright, write in Samba's smb.conf:

[studio]

path = /srv/studio

valid users = @sizewright

force group = sizewright

read only = no

create mask = 0660

force create mode = 0660

directory mask = 2770

force directory mode = 2770

and run "smbpasswd -a NAME" for each person. On a network share a file rests longer before it is taken, and is looked at twice.`},
	{"MACHINES", `Other machines make prints too where "[machines] nats" has the address of a NATS server with JetStream: "sizewright worker --nats ADDRESS", or the service sizewright-worker. Their prints have the same bytes, and three strips of each are made again to compare. What is quicker to make than to send, and everything while the server or the workers are away, is made by the studio's own machine; the report says so. "sizewright status" shows who works at what. The studio's service needs the network for it: /usr/share/doc/sizewright/examples/machines.conf.`},
	{"SERVICE", `The service's log goes to journald. Without the package, put the program into /usr/local/bin and systemd/sizewright@.service into /etc/systemd/system, and make the user with "systemd-sysusers systemd/sizewright.sysusers.conf".

--notify PROGRAM runs a program after each report, with the report's JSON on its standard input. It lies outside the studio, because people may change files inside. For the service, "systemctl edit" its unit and write:

[Service]

ExecStart=

ExecStart=/usr/bin/sizewright serve --studio %f --notify /usr/local/bin/tell-morning`},
}
