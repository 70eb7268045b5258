//! The facts of every GS1 application identifier, one a line, as text that is read once.
//!
//! Columns: identifier or range of identifiers; `p` predefined length (no separator follows), `a`
//! may stand in the query of a Digital Link; components with their checks, in brackets where they
//! may be missing; what must (`req`, any of; `+` joins) and must not (`ex`) stand beside it, with
//! `n` for any digit, and the qualifiers of a Digital Link's primary `key`, in order; data title.
//!
//! # Source
//!
//! GS1 Barcode Syntax Dictionary, 2025/2026 release, which GS1 AISBL publishes under the Apache
//! License 2.0: its facts, in our own form. Data titles as in the GS1 General Specifications,
//! section 3.2.

/// The lines.
pub(super) const AI_LINES: &str = "\
00|pa|N18,csum,gcppos2|key|SSCC
01|pa|N14,csum,gcppos2|ex=255,37 key=22,10,21;235|GTIN
02|pa|N14,csum,gcppos2|ex=01,03 req=37|CONTENT
03|p|N14,csum,gcppos2|ex=01,02,37,235|MTO GTIN
10|a|X..20|req=01,02,03,8006,8026|BATCH/LOT
11|pa|N6,yymmd0|req=01,02,03,8006,8026|PROD DATE
12|pa|N6,yymmd0|req=8020|DUE DATE
13|pa|N6,yymmd0|req=01,02,03,8006,8026|PACK DATE
15|pa|N6,yymmd0|req=01,02,03,8006,8026|BEST BEFORE or BEST BY
16|pa|N6,yymmd0|req=01,02,03,8006,8026|SELL BY
17|pa|N6,yymmd0|req=01,02,03,255,8006,8026|USE BY or EXPIRY
20|pa|N2|req=01,02,03,8006,8026|VARIANT
21||X..20|req=01,03,8006 ex=235|SERIAL
22||X..20|req=01|CPV
235||X..28|req=01|TPX
240|a|X..30|req=01,02,03,8006,8026|ADDITIONAL ID
241|a|X..30|req=01,02,03,8006,8026|CUST. PART No.
242|a|N..6|req=01,02,8006,8026|MTO VARIANT
243|a|X..20|req=01,03|PCN
250|a|X..30|req=01+21,03+21,8006+21|SECONDARY SERIAL
251|a|X..30|req=01,03,8006|REF. TO SOURCE
253|a|N13,csum,gcppos1 [X..17]|key|GDTI
254||X..20|req=414|GLN EXTENSION COMPONENT
255|a|N13,csum,gcppos1 [N..12]|key ex=01,02,415,8006,8020,8026|GCN
30|a|N..8|req=01,02|VAR. COUNT
3100-3105|pa|N6|req=01,02 ex=310n|NET WEIGHT (kg)
3110-3115|pa|N6|req=01,02 ex=311n|LENGTH (m)
3120-3125|pa|N6|req=01,02 ex=312n|WIDTH (m)
3130-3135|pa|N6|req=01,02 ex=313n|HEIGHT (m)
3140-3145|pa|N6|req=01,02 ex=314n|AREA (m²)
3150-3155|pa|N6|req=01,02 ex=315n|NET VOLUME (l)
3160-3165|pa|N6|req=01,02 ex=316n|NET VOLUME (m³)
3200-3205|pa|N6|req=01,02 ex=320n|NET WEIGHT (lb)
3210-3215|pa|N6|req=01,02 ex=321n|LENGTH (in)
3220-3225|pa|N6|req=01,02 ex=322n|LENGTH (ft)
3230-3235|pa|N6|req=01,02 ex=323n|LENGTH (yd)
3240-3245|pa|N6|req=01,02 ex=324n|WIDTH (in)
3250-3255|pa|N6|req=01,02 ex=325n|WIDTH (ft)
3260-3265|pa|N6|req=01,02 ex=326n|WIDTH (yd)
3270-3275|pa|N6|req=01,02 ex=327n|HEIGHT (in)
3280-3285|pa|N6|req=01,02 ex=328n|HEIGHT (ft)
3290-3295|pa|N6|req=01,02 ex=329n|HEIGHT (yd)
3300-3305|pa|N6|req=00,01 ex=330n|GROSS WEIGHT (kg)
3310-3315|pa|N6|req=00,01 ex=331n|LENGTH (m), log
3320-3325|pa|N6|req=00,01 ex=332n|WIDTH (m), log
3330-3335|pa|N6|req=00,01 ex=333n|HEIGHT (m), log
3340-3345|pa|N6|req=00,01 ex=334n|AREA (m²), log
3350-3355|pa|N6|req=00,01 ex=335n|VOLUME (l), log
3360-3365|pa|N6|req=00,01 ex=336n|VOLUME (m³), log
3370-3375|pa|N6|req=01 ex=337n|KG PER m²
3400-3405|pa|N6|req=00,01 ex=340n|GROSS WEIGHT (lb)
3410-3415|pa|N6|req=00,01 ex=341n|LENGTH (in), log
3420-3425|pa|N6|req=00,01 ex=342n|LENGTH (ft), log
3430-3435|pa|N6|req=00,01 ex=343n|LENGTH (yd), log
3440-3445|pa|N6|req=00,01 ex=344n|WIDTH (in), log
3450-3455|pa|N6|req=00,01 ex=345n|WIDTH (ft), log
3460-3465|pa|N6|req=00,01 ex=346n|WIDTH (yd), log
3470-3475|pa|N6|req=00,01 ex=347n|HEIGHT (in), log
3480-3485|pa|N6|req=00,01 ex=348n|HEIGHT (ft), log
3490-3495|pa|N6|req=00,01 ex=349n|HEIGHT (yd), log
3500-3505|pa|N6|req=01,02 ex=350n|AREA (in²)
3510-3515|pa|N6|req=01,02 ex=351n|AREA (ft²)
3520-3525|pa|N6|req=01,02 ex=352n|AREA (yd²)
3530-3535|pa|N6|req=00,01 ex=353n|AREA (in²), log
3540-3545|pa|N6|req=00,01 ex=354n|AREA (ft²), log
3550-3555|pa|N6|req=00,01 ex=355n|AREA (yd²), log
3560-3565|pa|N6|req=01,02 ex=356n|NET WEIGHT (tr oz)
3570-3575|pa|N6|req=01,02 ex=357n|NET VOLUME (oz)
3600-3605|pa|N6|req=01,02 ex=360n|NET VOLUME (qt (US))
3610-3615|pa|N6|req=01,02 ex=361n|NET VOLUME (gal.)
3620-3625|pa|N6|req=00,01 ex=362n|VOLUME (qt (US)), log
3630-3635|pa|N6|req=00,01 ex=363n|VOLUME (gal (US)), log
3640-3645|pa|N6|req=01,02 ex=364n|NET VOLUME (in³)
3650-3655|pa|N6|req=01,02 ex=365n|NET VOLUME (ft³)
3660-3665|pa|N6|req=01,02 ex=366n|NET VOLUME (yd³)
3670-3675|pa|N6|req=00,01 ex=367n|VOLUME (in³), log
3680-3685|pa|N6|req=00,01 ex=368n|VOLUME (ft³), log
3690-3695|pa|N6|req=00,01 ex=369n|VOLUME (yd³), log
37|a|N..8|req=00+02,00+8026|COUNT
3900-3909|a|N..15|req=255,8020 ex=390n,391n,394n,8111|AMOUNT
3910-3919|a|N3,iso4217 N..15|req=8020 ex=391n|AMOUNT
3920-3929|a|N..15|req=01+30,01+31nn,01+32nn,01+35nn,01+36nn ex=392n,393n|PRICE
3930-3939|a|N3,iso4217 N..15|req=30,31nn,32nn,35nn,36nn ex=393n|PRICE
3940-3943|a|N4|req=255 ex=394n,8111|PRCNT OFF
3950-3955|a|N6|req=30,31nn,32nn,35nn,36nn ex=392n,393n,395n,8005|PRICE/UoM
400|a|X..30||ORDER NUMBER
401|a|X..30,gcppos1|key|GINC
402|a|N17,csum,gcppos1|key|GSIN
403|a|X..30|req=00|ROUTE
410|pa|N13,csum,gcppos1||SHIP TO LOC
411|pa|N13,csum,gcppos1||BILL TO
412|pa|N13,csum,gcppos1||PURCHASE FROM
413|pa|N13,csum,gcppos1||SHIP FOR LOC
414|pa|N13,csum,gcppos1|key=254;7040|LOC No.
415|pa|N13,csum,gcppos1|req=8020 key=8020|PAY TO
416|pa|N13,csum,gcppos1||PROD/SERV LOC
417|pa|N13,csum,gcppos1|key=7040|PARTY
420|a|X..20|ex=421|SHIP TO POST
421|a|N3,iso3166 X..9|ex=4307|SHIP TO POST
422|a|N3,iso3166|req=01,02,03,8006,8026 ex=426|ORIGIN
423|a|N3,iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166|req=01,02,03 ex=426|COUNTRY - INITIAL PROCESS
424|a|N3,iso3166|req=01,02,03 ex=426|COUNTRY - PROCESS
425|a|N3,iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166|req=01,02,03 ex=426|COUNTRY - DISASSEMBLY
426|a|N3,iso3166|req=01,02,03|COUNTRY - FULL PROCESS
427|a|X..3|req=01+422,02+422,03+422|ORIGIN SUBDIVISION
4300|a|X..35,pcenc|req=00|SHIP TO COMP
4301|a|X..35,pcenc|req=00|SHIP TO NAME
4302|a|X..70,pcenc|req=00|SHIP TO ADD1
4303|a|X..70,pcenc|req=4302|SHIP TO ADD2
4304|a|X..70,pcenc|req=00|SHIP TO SUB
4305|a|X..70,pcenc|req=00|SHIP TO LOC
4306|a|X..70,pcenc|req=00|SHIP TO REG
4307|a|X2,iso3166alpha2|req=00|SHIP TO COUNTRY
4308|a|X..30|req=00|SHIP TO PHONE
4309|a|N10,latitude N10,longitude|req=00|SHIP TO GEO
4310|a|X..35,pcenc|req=00|RTN TO COMP
4311|a|X..35,pcenc|req=00|RTN TO NAME
4312|a|X..70,pcenc|req=00|RTN TO ADD1
4313|a|X..70,pcenc|req=4312|RTN TO ADD2
4314|a|X..70,pcenc|req=00|RTN TO SUB
4315|a|X..70,pcenc|req=00|RTN TO LOC
4316|a|X..70,pcenc|req=00|RTN TO REG
4317|a|X2,iso3166alpha2|req=00|RTN TO COUNTRY
4318|a|X..20|req=00|RTN TO POST
4319|a|X..30|req=00|RTN TO PHONE
4320|a|X..35,pcenc|req=00|SRV DESCRIPTION
4321|a|N1,yesno|req=00|DANGEROUS GOODS
4322|a|N1,yesno|req=00|AUTH TO LEAVE
4323|a|N1,yesno|req=00|SIG REQUIRED
4324|a|N6,yymmd0 N4,hhmi|req=00|NOT BEF DEL DT
4325|a|N6,yymmd0 N4,hhmi|req=00|NOT AFT DEL DT
4326|a|N6,yymmdd|req=00|REL DATE
4330|a|N6 [X1],hyphen|req=00 ex=4331|MAX TEMP F.
4331|a|N6 [X1],hyphen|req=00 ex=4330|MAX TEMP C.
4332|a|N6 [X1],hyphen|req=00 ex=4333|MIN TEMP F.
4333|a|N6 [X1],hyphen|req=00 ex=4332|MIN TEMP C.
7001|a|N13|req=01,02,8006,8026|NSN
7002|a|X..30|req=01,02|MEAT CUT
7003|a|N6,yymmdd N4,hhmi|req=01,02,03|EXPIRY TIME
7004|a|N..4|req=01+10,03+10|ACTIVE POTENCY
7005|a|X..12|req=01,02|CATCH AREA
7006|a|N6,yymmdd|req=01,02|FIRST FREEZE DATE
7007|a|N6,yymmdd [N6],yymmdd|req=01,02|HARVEST DATE
7008|a|X..3|req=01,02|AQUATIC SPECIES
7009|a|X..10|req=01,02|FISHING GEAR TYPE
7010|a|X..2|req=01,02,03|PROD METHOD
7011|a|N6,yymmdd [N4],hhmi|req=01,02,03|TEST BY DATE
7020|a|X..20|req=01+416,03+416,8006+416|REFURB LOT
7021|a|X..20|req=01,03,8006|FUNC STAT
7022|a|X..20|req=01+7021,03+7021,8006+7021|REV STAT
7023|a|X..30,gcppos1||GIAI - ASSEMBLY
7030|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 0
7031|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 1
7032|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 2
7033|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 3
7034|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 4
7035|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 5
7036|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 6
7037|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 7
7038|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 8
7039|a|N3,iso3166999 X..27|req=01,02|PROCESSOR # 9
7040||N1 X1 X1 X1,importeridx||UIC+EXT
7041||X..4,packagetype|req=00|UFRGT UNIT TYPE
710|a|X..20|req=01|NHRN PZN
711|a|X..20|req=01|NHRN CIP
712|a|X..20|req=01|NHRN CN
713|a|X..20|req=01|NHRN DRN
714|a|X..20|req=01|NHRN AIM
715|a|X..20|req=01|NHRN NDC
716|a|X..20|req=01|NHRN AIC
717|a|X..20|req=01|NHRN SRN
7230|a|X2 X..28|req=01,8004|CERT # 1
7231|a|X2 X..28|req=01,8004|CERT # 2
7232|a|X2 X..28|req=01,8004|CERT # 3
7233|a|X2 X..28|req=01,8004|CERT # 4
7234|a|X2 X..28|req=01,8004|CERT # 5
7235|a|X2 X..28|req=01,8004|CERT # 6
7236|a|X2 X..28|req=01,8004|CERT # 7
7237|a|X2 X..28|req=01,8004|CERT # 8
7238|a|X2 X..28|req=01,8004|CERT # 9
7239|a|X2 X..28|req=01,8004|CERT # 10
7240|a|X..20|req=01,8006 ex=03|PROTOCOL
7241|a|N2,mediatype|req=8017,8018|AIDC MEDIA TYPE
7242|a|X..25|req=8017,8018|VCN
7250|a|N8,yyyymmdd|req=8018 ex=7251|DOB
7251|a|N8,yyyymmdd N4,hhmi|req=8018 ex=7250|DOB TIME
7252|a|N1,iso5218|req=8018|BIO SEX
7253|a|X..40,pcenc|req=8017,8018 ex=7256,7259|FAMILY NAME
7254|a|X..40,pcenc|req=8017,8018 ex=7256,7259|GIVEN NAME
7255|a|X..10|req=8017,8018 ex=7256,7259|SUFFIX
7256|a|X..90,pcenc|req=8017,8018|FULL NAME
7257|a|X..70,pcenc|req=8018|PERSON ADDR
7258|a|X3,posinseqslash|req=8018+7259|BIRTH SEQUENCE
7259|a|X..40,pcenc|req=8018 ex=7256|BABY
8001|a|N4,nonzero N5,nonzero N3,nonzero N1,winding N1|req=01|DIMENSIONS
8002|a|X..20||CMT No.
8003|a|N1,zero N13,csum,gcppos1 [X..16]|key|GRAI
8004|a|X..30,gcppos1|key=7040|GIAI
8005|a|N6|req=01,02|PRICE PER UNIT
8006|a|N14,csum,gcppos2 N4,pieceoftotal|ex=01,03,37 key=22,10,21|ITIP
8007|a|X..34,iban|req=415|IBAN
8008|a|N6,yymmdd N2,hh [N2],mi [N2],ss|req=01,02,03|PROD TIME
8009|a|X..50|req=00,01,03|OPTSEN
8010|a|Y..30,gcppos1|key=8011|CPID
8011||N..12,nozeroprefix|req=8010|CPID SERIAL
8012|a|X..20|req=01,03,8006|VERSION
8013|a|X..25,csumalpha,gcppos1|key|GMN
8014||X..25,csumalpha,gcppos1,hasnondigit|req=01|MUDI
8017|a|N18,csum,gcppos1|ex=8018 key=8019|GSRN - PROVIDER
8018|a|N18,csum,gcppos1|ex=8017 key=8019|GSRN - RECIPIENT
8019||N..10|req=8017,8018|SRIN
8020||X..25|req=415|REF No.
8026|a|N14,csum,gcppos2 N4,pieceoftotal|req=37 ex=02,03,8006|ITIP CONTENT
8030|a|Z..90|req=00,01+21,03+21,253,255,8003,8004,8006+21,8010+8011,8017,8018|DIGSIG
8040||N15|req=01+21|IMEI
8041||N15|req=01+21+8040|IMEI2
8042||N32|req=01+21+8040|ESIM
8043||N18 [N..2]|req=01+21+8040|PSIM
8110|a|X..70,couponcode||
8111|a|N4|req=255|POINTS
8112|a|X..70,couponposoffer||
8200||X..70|req=01|PRODUCT URL
90|a|X..30||INTERNAL
91-99|a|X..90||INTERNAL";
